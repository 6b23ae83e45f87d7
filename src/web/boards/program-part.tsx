import { type ReactNode, useState } from "react";
import type { Program } from "../../app/api/own-boards.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { fuseDevices } from "../../core/board/logic/fuse-maps.js";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { notify } from "../state/announcer.js";
import { ProblemNote } from "../ui/problem-note.jsx";

/** Says what a programmed chip does: by its fuse file or by equations. */
export function ProgramPart({
  board,
  parts,
}: {
  readonly board: string;
  /** References to choose from. */
  readonly parts: readonly string[];
}): ReactNode {
  const [part, setPart] = useState("");
  const [device, setDevice] = useState<Program["device"]>("PAL16L8");
  const [text, setText] = useState("");
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const keep = async (): Promise<void> => {
    setProblem(null);
    // Fuse files have fields that end with an asterisk; equations have an equals sign.
    const kind = /\*/.test(text) && /QF/.test(text) ? "fuses" : "equations";
    try {
      const { version } = await api.programPart(board, { part, device, kind, text });
      notify({ text: `${part} does what it says now: version ${version} of the board.` });
      setText("");
    } catch (cause) {
      setProblem(problemOf(cause));
    }
  };
  return (
    <form
      className="bring"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <label className="field">
        <span>Chip</span>
        <select value={part} onChange={(event) => setPart(event.target.value)}>
          <option value="">choose …</option>
          {parts.map((ref) => (
            <option key={ref}>{ref}</option>
          ))}
        </select>
      </label>
      <label className="field">
        <span>Device</span>
        <select
          value={device}
          onChange={(event) => {
            const chosen = fuseDevices.find((one) => one === event.target.value);
            if (chosen !== undefined) setDevice(chosen);
          }}
        >
          {fuseDevices.map((name) => (
            <option key={name}>{name}</option>
          ))}
        </select>
      </label>
      <label className="field">
        <span>Equations</span>
        <textarea
          rows={6}
          spellCheck={false}
          className="place"
          maxLength={200_000}
          placeholder={"pin 2 = A15\npin 3 = A14\n19 = !(A15 & A14)"}
          value={text}
          onChange={(event) => setText(event.target.value)}
        />
      </label>
      <label className="field">
        <span>Or a fuse file (JEDEC)</span>
        <input
          type="file"
          accept=".jed,.jedec,.txt"
          onChange={(event) => void event.target.files?.[0]?.text().then(setText, () => undefined)}
        />
      </label>
      {problem !== null && <ProblemNote problem={problem} />}
      <button type="submit" className="main-button" disabled={part === "" || text.trim() === ""}>
        Let it do this
      </button>
    </form>
  );
}
