import { type ReactNode, useState } from "react";
import type { SelfTestImage, SelfTestOptions } from "../../app/api/self-test.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { announce } from "../state/announcer.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { Waiting } from "../ui/waiting.jsx";
import { memoryApi } from "./memory-api.js";
import { saveFile } from "./save-file.js";

const chips = ["2716", "2732", "2764", "27128", "27256", "27512"];

/** Builds the image of the self-test and offers it in all forms. */
export function ImageBuild({
  job,
  options,
}: {
  readonly job: string;
  readonly options: SelfTestOptions;
}): ReactNode {
  const [chip, setChip] = useState("");
  const [image, setImage] = useState<SelfTestImage | null>(null);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const [busy, setBusy] = useState(false);
  const build = async (): Promise<void> => {
    setBusy(true);
    setProblem(null);
    setImage(null);
    try {
      const made = await memoryApi.buildSelfTest(job, chip === "" ? { options } : { options, chip });
      setImage(made);
      announce(`The image is ready: ${made.bytes} bytes for a ${made.chip}.`);
    } catch (cause) {
      setProblem(problemOf(cause));
    } finally {
      setBusy(false);
    }
  };
  return (
    <div className="image-build">
      <h4>The chip</h4>
      <label className="field field-short">
        EPROM
        <select value={chip} onChange={(event) => setChip(event.target.value)}>
          <option value="">as on the board</option>
          {chips.map((type) => (
            <option key={type} value={type}>
              {type}
            </option>
          ))}
        </select>
      </label>
      <p className="quiet">A larger chip is filled with copies. One with more pins needs an adapter.</p>
      <div className="taps-end">
        <button type="button" className="main-button" disabled={busy} onClick={() => void build()}>
          Build the image
        </button>
        {busy && (
          <button
            type="button"
            className="plain-button"
            onClick={() => void api.cancel(job).catch(() => undefined)}
          >
            Stop
          </button>
        )}
      </div>
      {busy && <Waiting what="It is being built and tried on a processor core" />}
      {problem !== null && <ProblemNote problem={problem} />}
      {image !== null && (
        <>
          <p>
            {image.usedBytes} bytes in a {image.chip} of {image.bytes}. It was run on a processor core with{" "}
            {image.trials.join(", with ")}, and said the right thing each time. A good machine says so after
            about {Math.round(image.goodSeconds)} s.
          </p>
          <ul className="tiles">
            {image.files.map(({ name, title, type, base64 }) => (
              <li key={name}>
                <button
                  type="button"
                  className="plain-button"
                  onClick={() => saveFile(name, bytesOf(base64), type)}
                >
                  {title}
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
    </div>
  );
}

function bytesOf(base64: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
}
