import { type ReactNode, useState } from "react";
import type { TapeScheme } from "../../../core/tape/scheme.js";
import { Dialog } from "../../ui/dialog.jsx";
import { parseScheme } from "../work/schemes.js";

/** A scheme as text to be changed: what it says is checked before it is used. */
export function SchemeEditor({
  scheme,
  onTake,
  onClose,
}: {
  readonly scheme: TapeScheme;
  readonly onTake: (scheme: TapeScheme) => void;
  readonly onClose: () => void;
}): ReactNode {
  const [text, setText] = useState(() =>
    JSON.stringify({ ...scheme, id: `${scheme.id}-own`, title: `${scheme.title}, own` }, null, 2),
  );
  const [problem, setProblem] = useState("");
  const take = (): void => {
    const read = parseScheme(text);
    if ("problem" in read) setProblem(read.problem);
    else onTake(read.scheme);
  };
  return (
    <Dialog title="A scheme of your own" onClose={onClose}>
      <p className="scheme-help">
        Change what differs on your machine: tones or pulse lengths in microseconds, bits of a character, how
        blocks are laid out, how their check value is worked out.
      </p>
      <label className="scheme-text">
        <span>Scheme</span>
        <textarea
          value={text}
          rows={18}
          spellCheck={false}
          aria-invalid={problem !== ""}
          onChange={({ target }) => setText(target.value)}
        />
      </label>
      {problem !== "" && (
        <p className="scheme-problem" role="alert">
          {problem}
        </p>
      )}
      <div className="dialog-foot">
        <button type="button" className="plain-button" onClick={onClose}>
          Leave it
        </button>
        <button type="button" className="main-button" onClick={take}>
          Use it
        </button>
      </div>
    </Dialog>
  );
}
