import type { ReactNode } from "react";
import type { LogEntry } from "../../app/api/entry.js";

/** Two pins tried for continuity: one chosen before, one now, and what came of it. */
export function WiringTool({
  from,
  to,
  onAdd,
  onEnd,
}: {
  readonly from: string;
  /** The pin chosen now; null until another pin is. */
  readonly to: string | null;
  readonly onAdd: (entry: LogEntry, says: string) => void;
  readonly onEnd: () => void;
}): ReactNode {
  const add = (shows: "rings" | "open"): void => {
    if (to === null) return;
    const word = shows === "rings" ? "rings" : "does not ring";
    onAdd({ kind: "connection", from, to, shows }, `Wiring: ${from} to ${to} ${word}`);
    onEnd();
  };
  return (
    <section className="map-photo" aria-label="How the board is wired">
      <p role="status">
        Power off. <span className="place">{from}</span> to{" "}
        {to === null ? "another pin: choose it on the map." : <span className="place">{to}</span>}
      </p>
      {to !== null && (
        <>
          <button type="button" className="plain-button" onClick={() => add("rings")}>
            Rings: they are wired together
          </button>
          <button type="button" className="plain-button" onClick={() => add("open")}>
            Does not ring
          </button>
        </>
      )}
      <button type="button" className="plain-button" onClick={onEnd}>
        Leave it
      </button>
    </section>
  );
}
