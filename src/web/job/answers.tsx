import type { ReactNode } from "react";
import type { StepAnswer } from "../../app/api/findings.js";
import { percentText } from "../../core/draw/suspicion.js";
import { capital } from "../ui/words.js";

/** The outcomes of a step as numbered legs of its card: what is seen, what it would mean, how likely it is. */
export function Answers({
  answers,
  disabled,
  onAnswer,
}: {
  readonly answers: readonly StepAnswer[];
  /** Indices that cannot be chosen yet. */
  readonly disabled: (index: number) => boolean;
  readonly onAnswer: (answer: StepAnswer) => void;
}): ReactNode {
  return (
    <ol className="answers" aria-label="What do you see?">
      {answers.map((answer, i) => (
        <li key={`${answer.shows} ${JSON.stringify(answer.entry)}`}>
          <button
            type="button"
            className="answer"
            disabled={disabled(i)}
            onClick={() => onAnswer(answer)}
            aria-keyshortcuts={i < 9 ? String(i + 1) : undefined}
          >
            <span className="leg place" aria-hidden="true">
              {i < 9 ? i + 1 : "·"}
            </span>
            <span className="answer-words">
              <span className="answer-shows">{capital(answer.shows.replaceAll("-", " "))}</span>
              {answer.means !== "" && <span className="answer-means">{answer.means}</span>}
            </span>
            {answer.probability !== null && (
              <span className="answer-chance">
                <span className="only-heard">expected to </span>
                {percentText(answer.probability)}
                <Gauge share={answer.probability} />
              </span>
            )}
          </button>
        </li>
      ))}
    </ol>
  );
}

function Gauge({ share }: { readonly share: number }): ReactNode {
  return (
    <svg className="gauge" viewBox="0 0 60 8" preserveAspectRatio="none" aria-hidden="true">
      <rect className="gauge-whole" width={60} height={8} rx={2} />
      <rect className="gauge-share" width={Math.max(1.5, 60 * share)} height={8} rx={2} />
    </svg>
  );
}
