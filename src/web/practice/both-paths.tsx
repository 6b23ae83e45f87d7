import type { ReactNode } from "react";
import type { PracticePaths } from "../../app/api/practice.js";
import { api } from "../net/api.js";
import { useLoaded } from "../net/load.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { minutesText } from "../ui/words.js";
import { plannedStepText } from "./planned-step-text.js";

/** The player's way and the program's, side by side, on one scale of minutes. */
export function BothPaths({ game }: { readonly game: string }): ReactNode {
  const { value, problem, reload } = useLoaded(game, () => api.paths(game));
  if (problem !== null) return <ProblemNote problem={problem} onRetry={reload} />;
  if (value === null) return <Waiting what="The program plays the same machine" />;
  const longest = Math.max(1, value.player.minutes, value.tool.minutes);
  return (
    <section className="paths" aria-label="Both ways">
      <Way title="Your way" path={value.player} longest={longest} />
      <Way title="The program's way" path={value.tool} longest={longest} />
    </section>
  );
}

function Way({
  title,
  path,
  longest,
}: {
  readonly title: string;
  readonly path: PracticePaths["player"];
  readonly longest: number;
}): ReactNode {
  let from = 0;
  const blocks = path.steps.map((step) => {
    const start = from;
    from += step.minutes;
    return { start, minutes: step.minutes };
  });
  return (
    <div className="way">
      <h2>{title}</h2>
      <p>
        <strong>{minutesText(path.minutes)}</strong>, {path.steps.length} steps
        {path.fixed ? "" : ", not mended"}
      </p>
      <svg className="way-bar" viewBox="0 0 300 16" preserveAspectRatio="none" aria-hidden="true">
        <rect className="bar-whole" width={300} height={16} />
        {blocks.map(({ start, minutes }, i) => (
          <rect
            // biome-ignore lint/suspicious/noArrayIndexKey: steps are in the order they were taken
            key={i}
            className={i % 2 === 0 ? "way-even" : "way-odd"}
            x={(300 * start) / longest}
            width={Math.max(1, (300 * minutes) / longest - 1)}
            height={16}
          />
        ))}
      </svg>
      <ol className="way-steps">
        {path.steps.map(({ step, answer, minutes }, i) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: steps are in the order they were taken
          <li key={i}>
            <span>{plannedStepText(step)}</span> <strong>{answer}</strong>{" "}
            <span className="quiet">{minutesText(minutes)}</span>
          </li>
        ))}
      </ol>
    </div>
  );
}
