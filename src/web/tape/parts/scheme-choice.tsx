import { type ReactNode, useRef, useState } from "react";
import type { TapeScheme } from "../../../core/tape/scheme.js";
import { useStore } from "../../state/store.js";
import { Icon } from "../../ui/icon.jsx";
import { tapeDesk } from "../work/desk.js";
import { knownSchemes, parseScheme } from "../work/schemes.js";
import { saveFile } from "./save.js";
import { SchemeEditor } from "./scheme-editor.jsx";

const openFile = "open a scheme file";
const ownScheme = "write a scheme";

/** Which way of keeping bytes the tape uses: one that comes with the program, one from a file, or one learned here. */
export function SchemeChoice({
  scheme,
  onScheme,
  onLearn,
  canLearn,
}: {
  readonly scheme: TapeScheme | undefined;
  readonly onScheme: (id: string) => void;
  readonly onLearn: () => void;
  readonly canLearn: boolean;
}): ReactNode {
  const own = useStore(tapeDesk().ownSchemes);
  const file = useRef<HTMLInputElement>(null);
  const [isWriting, setIsWriting] = useState(false);
  const [problem, setProblem] = useState("");

  const take = async (picked: File | undefined): Promise<void> => {
    if (picked === undefined) return;
    const read = parseScheme(picked.size > 100_000 ? "" : await picked.text());
    if ("problem" in read) {
      setProblem(`${picked.name}: ${read.problem}`);
      return;
    }
    setProblem("");
    tapeDesk().addScheme(read.scheme);
    onScheme(read.scheme.id);
  };

  return (
    <div className="scheme">
      <label className="scheme-field">
        <span>Scheme</span>
        <select
          value={scheme?.id ?? ""}
          onChange={({ target }) => {
            if (target.value === openFile) file.current?.click();
            else if (target.value === ownScheme) setIsWriting(true);
            else onScheme(target.value);
          }}
        >
          {own.length > 0 && (
            <optgroup label="Yours">
              {own.map(({ id, title }) => (
                <option key={id} value={id}>
                  {title}
                </option>
              ))}
            </optgroup>
          )}
          <optgroup label="Known">
            {knownSchemes().map(({ id, title }) => (
              <option key={id} value={id}>
                {title}
              </option>
            ))}
          </optgroup>
          <option value={openFile}>Open a scheme file …</option>
          <option value={ownScheme}>Write one from this …</option>
        </select>
      </label>
      <input
        ref={file}
        type="file"
        className="scheme-file"
        hidden
        accept=".json,application/json"
        onChange={({ target }) => {
          void take(target.files?.[0]);
          target.value = "";
        }}
      />
      <button type="button" className="slab-button" disabled={!canLearn} onClick={onLearn}>
        Learn it
      </button>
      <button
        type="button"
        className="slab-button"
        disabled={scheme === undefined}
        onClick={() => {
          if (scheme === undefined) return;
          saveFile(`${scheme.id}.json`, [`${JSON.stringify(scheme, null, 2)}\n`], "application/json");
        }}
      >
        Save scheme
      </button>
      {isWriting && scheme !== undefined && (
        <SchemeEditor
          scheme={scheme}
          onTake={(written) => {
            tapeDesk().addScheme(written);
            onScheme(written.id);
            setIsWriting(false);
          }}
          onClose={() => setIsWriting(false)}
        />
      )}
      {problem !== "" && (
        <p className="scheme-problem" role="alert">
          <Icon name="warning" /> {problem}
        </p>
      )}
    </div>
  );
}
