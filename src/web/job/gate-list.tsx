import type { ReactNode } from "react";

/** The checks before the first power: each has to be ticked, and where to get help stands below them. */
export function GateList({
  cautions,
  ticked,
  onTick,
}: {
  readonly cautions: readonly string[];
  readonly ticked: ReadonlySet<string>;
  readonly onTick: (next: ReadonlySet<string>) => void;
}): ReactNode {
  const toggle = (caution: string): void => {
    const next = new Set(ticked);
    if (!next.delete(caution)) next.add(caution);
    onTick(next);
  };
  return (
    <fieldset className="gate">
      <legend>Tick each once it is done</legend>
      {cautions.map((caution) => (
        <label key={caution} className="gate-line">
          <input type="checkbox" checked={ticked.has(caution)} onChange={() => toggle(caution)} />
          <span>{caution}</span>
        </label>
      ))}
      <p className="gate-help">
        If any of this is new to you, stop here. A licensed electrician, an electronics workshop or a repair
        meeting near you can check a supply in minutes. Local rules on mains work come before anything written
        on this page.
      </p>
    </fieldset>
  );
}
