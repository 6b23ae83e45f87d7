import type { ReactNode } from "react";
import type { BoardDetail } from "../../app/api/boards.js";
import type { Findings, StepAnswer, StepView } from "../../app/api/findings.js";
import { Waiting } from "../ui/waiting.jsx";
import { minutesText } from "../ui/words.js";
import { StepCard } from "./step-card.jsx";
import { stepHeading } from "./step-heading.js";

interface Props {
  readonly findings: Findings | null;
  readonly index: number;
  readonly board: BoardDetail | null;
  readonly busy: boolean;
  /** Part whose repair made the machine work, if the log says so. */
  readonly mended: string | undefined;
  readonly onChoose: (index: number) => void;
  readonly onAnswer: (answer: StepAnswer, step: StepView) => void;
  readonly onCannot: (step: StepView) => void;
  readonly onOther: () => void;
  readonly onClose: () => void;
  readonly onSymptoms: () => void;
}

const othersShown = 4;

/** The chosen step as a card, and the steps that come next behind it. */
export function NextSteps(props: Props): ReactNode {
  const { findings, index, board, busy, mended, onChoose, onAnswer, onCannot, onOther } = props;
  if (findings === null) {
    return (
      <section className="step step-empty">
        <Waiting what="The next step is being worked out" />
      </section>
    );
  }
  const step = findings.result.next[index];
  const view = findings.steps[index];
  if (mended !== undefined && index === 0) return <Mended part={mended} {...props} />;
  if (step === undefined || view === undefined) return <NothingLeft {...props} />;
  const others = findings.steps.flatMap((other, i) => (i === index || i > othersShown ? [] : [{ other, i }]));
  return (
    <>
      <StepCard
        key={view.id}
        step={step}
        view={view}
        board={board}
        busy={busy}
        stop={findings.result.stop}
        onAnswer={(answer) => onAnswer(answer, view)}
        onCannot={() => onCannot(view)}
        onOther={onOther}
      />
      {step.action !== "gate" && others.length > 0 && (
        <details className="other-steps">
          <summary>Or do something else first</summary>
          <ul>
            {others.map(({ other, i }) => (
              <li key={other.id}>
                <button type="button" className="other-step" onClick={() => onChoose(i)}>
                  <span>{headingAt(findings, i) ?? other.title}</span>
                  <span className="quiet">{minutesText(findings.result.next[i]?.minutes ?? 0)}</span>
                </button>
              </li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}

function headingAt(findings: Findings, index: number): string | undefined {
  const step = findings.result.next[index];
  const view = findings.steps[index];
  return step === undefined || view === undefined ? undefined : stepHeading(step, view);
}

function Mended({ part, findings, onChoose, onClose, onSymptoms }: Props & { part: string }): ReactNode {
  return (
    <section className="step step-done" aria-labelledby="step-title">
      <div className="step-slab">
        <div className="step-words">
          <p className="step-kicker">The machine works again</p>
          <h1 id="step-title" className="step-title">
            It was {part}
          </h1>
          <p className="step-why">
            Let it run until it is warm, and try keys, picture, sound and tape. In more than a third of
            machines there is a second fault.
          </p>
        </div>
      </div>
      <div className="step-choices">
        <button type="button" className="main-button" onClick={onClose}>
          Close the job
        </button>
        <button type="button" className="plain-button" onClick={onSymptoms}>
          Something is still wrong
        </button>
        {findings !== null && findings.steps.length > 1 && (
          <button type="button" className="plain-button" onClick={() => onChoose(1)}>
            Check further
          </button>
        )}
      </div>
    </section>
  );
}

function NothingLeft({ onClose, onSymptoms }: Props): ReactNode {
  return (
    <section className="step step-done" aria-labelledby="step-title">
      <div className="step-slab">
        <div className="step-words">
          <p className="step-kicker">No further step</p>
          <h1 id="step-title" className="step-title">
            Nothing left that is worth its time
          </h1>
          <p className="step-why">
            Enter what you see, take back a step you could not do, or close the job with what you know.
          </p>
        </div>
      </div>
      <div className="step-choices">
        <button type="button" className="main-button" onClick={onSymptoms}>
          Say what it does now
        </button>
        <button type="button" className="plain-button" onClick={onClose}>
          Close the job
        </button>
      </div>
    </section>
  );
}
