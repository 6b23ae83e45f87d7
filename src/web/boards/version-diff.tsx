import { type ReactNode, useState } from "react";
import type { BoardDiff, BoardVersion } from "../../app/api/own-boards.js";
import { api } from "../net/api.js";
import { useLoaded } from "../net/load.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { listText } from "../ui/words.js";

const shownLines = 60;

/** What differs between two versions of a board, chosen here. */
export function VersionDiff({
  board,
  versions,
}: {
  readonly board: string;
  readonly versions: readonly BoardVersion[];
}): ReactNode {
  const newest = versions.at(-1)?.number ?? 1;
  const [before, setBefore] = useState(Math.max(1, newest - 1));
  const [after, setAfter] = useState(newest);
  const { value: diff, problem } = useLoaded(`${board} ${before} ${after}`, () =>
    api.boardDiff(board, before, after),
  );
  const choice = (label: string, value: number, onChange: (number: number) => void): ReactNode => (
    <label className="field field-short">
      <span>{label}</span>
      <select value={value} onChange={(event) => onChange(Number(event.target.value))}>
        {versions.map(({ number, note }) => (
          <option key={number} value={number}>
            {number}
            {note === "" ? "" : `: ${note.slice(0, 40)}`}
          </option>
        ))}
      </select>
    </label>
  );
  return (
    <div className="version-diff">
      <div className="version-choice">
        {choice("From version", before, setBefore)}
        {choice("to version", after, setAfter)}
      </div>
      {problem !== null && <ProblemNote problem={problem} />}
      {diff !== null && <DiffLines diff={diff} />}
    </div>
  );
}

function DiffLines({ diff }: { readonly diff: BoardDiff }): ReactNode {
  const lines = [
    ...(diff.added.length === 0 ? [] : [`New parts: ${listText(diff.added)}`]),
    ...(diff.removed.length === 0 ? [] : [`Parts gone: ${listText(diff.removed)}`]),
    ...diff.renamedNets.map(({ before, after }) => `Line ${before} is called ${after} now`),
    ...diff.pins.map(({ pin, before, after }) => `${pin}: ${before ?? "open"} → ${after ?? "open"}`),
    ...diff.fields.map(
      ({ field, before, after }) => `${field}: ${before ?? "nothing"} → ${after ?? "nothing"}`,
    ),
  ];
  if (lines.length === 0) return <p>Nothing differs.</p>;
  return (
    <ul className="report-list">
      {lines.slice(0, shownLines).map((line) => (
        <li key={line}>{line}</li>
      ))}
      {lines.length > shownLines && <li>and {lines.length - shownLines} more</li>}
    </ul>
  );
}
