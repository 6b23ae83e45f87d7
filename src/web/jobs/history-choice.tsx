import { type ReactNode, useState } from "react";
import type { BoardDetail } from "../../app/api/boards.js";
import type { CaseEntry } from "../../core/find/case/case.js";

/** Something that happened to the machine, and where. */
export interface Happening {
  readonly what: string;
  readonly part: string;
  /** True if it happened before the machine failed. */
  readonly before: boolean;
}

/** The entries that record what happened. */
export function historyEntries(happenings: readonly Happening[]): CaseEntry[] {
  return happenings.map(({ what, part, before }) => ({
    kind: "event",
    what,
    ...(part.trim() === "" ? {} : { part: part.trim() }),
    ...(before ? { before } : {}),
  }));
}

/** Mishaps and own work: what, where if it was at one place, and whether before the machine failed. */
export function HistoryChoice({
  events,
  happenings,
  onChange,
}: {
  readonly events: BoardDetail["events"];
  readonly happenings: readonly Happening[];
  readonly onChange: (next: readonly Happening[]) => void;
}): ReactNode {
  const [what, setWhat] = useState("");
  const add = (id: string): void => {
    if (id !== "") onChange([...happenings, { what: id, part: "", before: true }]);
    setWhat("");
  };
  const change = (i: number, next: Partial<Happening>): void =>
    onChange(happenings.map((one, k) => (k === i ? { ...one, ...next } : one)));
  return (
    <div className="history">
      <ul className="history-list">
        {happenings.map((happening, i) => {
          const wording = events.find(({ id }) => id === happening.what)?.wording ?? happening.what;
          return (
            // biome-ignore lint/suspicious/noArrayIndexKey: the same thing may have happened twice
            <li key={`${happening.what} ${i}`} className="history-line">
              <span>{wording}</span>
              <label>
                at{" "}
                <input
                  type="text"
                  size={8}
                  maxLength={40}
                  placeholder="U12"
                  value={happening.part}
                  onChange={(event) => change(i, { part: event.target.value })}
                  aria-label={`Part concerned: ${wording}`}
                />
              </label>
              <label className="history-before">
                <input
                  type="checkbox"
                  checked={happening.before}
                  onChange={(event) => change(i, { before: event.target.checked })}
                />{" "}
                before it failed
              </label>
              <button
                type="button"
                className="plain-button"
                onClick={() => onChange(happenings.filter((_, k) => k !== i))}
                aria-label={`Take away: ${wording}`}
              >
                Take away
              </button>
            </li>
          );
        })}
      </ul>
      <label className="field">
        <span>Add what happened</span>
        <select value={what} onChange={(event) => add(event.target.value)}>
          <option value="">choose …</option>
          {events.map(({ id, wording }) => (
            <option key={id} value={id}>
              {wording}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}
