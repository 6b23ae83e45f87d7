import { type ReactNode, useId, useRef, useState } from "react";
import type { Problem } from "../../../core/base/problem.js";
import { wavFile } from "../../../core/signal/wav-write.js";
import type { TapeMargins } from "../../../core/tape/margin.js";
import type { TapeScheme } from "../../../core/tape/scheme.js";
import { useStore } from "../../state/store.js";
import { momentOnTape } from "../strip/strip-view.js";
import { tapeDesk } from "../work/desk.js";
import { manifestText } from "../work/manifest.js";
import type { MakingOptions, Task } from "../work/messages.js";
import { contentsOf, type Reading } from "../work/reading.js";
import { Margins } from "./margins.jsx";
import { play, playing, stopPlaying } from "./player.js";
import { Problems } from "./problems.jsx";
import { saveFile, stemOf } from "./save.js";

const rates = [22050, 44100, 48000, 96000] as const;
const edgeWords = { sine: "sine", rounded: "rounded", square: "square" } as const;
/** Largest file of bytes that is made into a recording. */
const mostBytes = 1 << 20;

/** Bytes a margin check is made with: every one is loaded some hundred times. */
const marginBytes = 64;

/** Margins, and the scheme they were found for. */
interface ShownMargins {
  readonly of: TapeScheme;
  readonly margins: TapeMargins | undefined;
}

interface Source {
  readonly name: string;
  readonly bytes: Uint8Array | "as read";
}

/** From bytes to sound: a clean recording to save or to play to the machine, and how much it may drift. */
export function MakePanel({
  reading,
  name,
  recordings,
  scheme,
}: {
  readonly reading: Reading | null;
  /** Name of the recording that was read. */
  readonly name: string;
  /** Names of all recordings that were read for it. */
  readonly recordings: readonly string[];
  readonly scheme: TapeScheme;
}): ReactNode {
  const [file, setFile] = useState<Source | null>(null);
  const [fromFile, setFromFile] = useState(false);
  const [options, setOptions] = useState<MakingOptions>({
    sampleRateHz: 48000,
    level: 0.5,
    isInverted: false,
    edges: "sine",
  });
  const [problems, setProblems] = useState<readonly Problem[]>([]);
  const [margins, setMargins] = useState<ShownMargins | null>(null);
  const input = useRef<HTMLInputElement>(null);
  const titleId = useId();
  const now = useStore(playing);
  const read: Source | null = reading === null ? null : { name, bytes: "as read" };
  const source = fromFile || read === null ? file : read;

  const change = (part: Partial<MakingOptions>): void => setOptions((old) => ({ ...old, ...part }));
  const make = async (use: (samples: Float32Array, rate: number, name: string) => void): Promise<void> => {
    if (source === null) return;
    const task = makingTask(source, reading, scheme, options);
    const { result, problems: wrong } = await tapeDesk().run("Making the recording", task);
    setProblems(wrong);
    if (result?.kind === "made") use(result.samples, result.sampleRateHz, source.name);
  };
  const check = async (): Promise<void> => {
    const whole = source?.bytes === "as read" ? reading && contentsOf(reading) : source?.bytes;
    if (!whole || whole.length === 0) return;
    const bytes = whole.slice(0, marginBytes);
    const outcome = await tapeDesk().run("Checking the margins", { kind: "margin", scheme, bytes });
    setProblems(outcome.problems);
    if (outcome.result?.kind === "margin") setMargins({ of: scheme, margins: outcome.result.margins });
  };
  const takeFile = async (picked: File | undefined): Promise<void> => {
    if (picked === undefined) return;
    if (picked.size > mostBytes || picked.size === 0) {
      const message = `${picked.name} has ${picked.size} bytes; 1 to ${mostBytes} are made into a recording.`;
      setProblems([{ code: "bytes-count", severity: "error", message, where: {} }]);
      return;
    }
    setProblems([]);
    setFile({ name: picked.name, bytes: new Uint8Array(await picked.arrayBuffer()) });
    setFromFile(true);
  };

  return (
    <section className="make" aria-labelledby={titleId}>
      <header className="make-head">
        <h2 id={titleId}>Back to the machine</h2>
        <fieldset className="choice" aria-label="Bytes from">
          <button
            type="button"
            aria-pressed={source !== null && source === read}
            disabled={read === null}
            onClick={() => setFromFile(false)}
          >
            What was read
          </button>
          <button
            type="button"
            aria-pressed={source !== null && source === file}
            onClick={() => input.current?.click()}
          >
            {file === null ? "A file of bytes …" : file.name}
          </button>
        </fieldset>
        <input
          ref={input}
          type="file"
          className="bytes-file"
          hidden
          onChange={({ target }) => {
            void takeFile(target.files?.[0]);
            target.value = "";
          }}
        />
      </header>
      <div className="make-options">
        <label>
          <span>Level</span>
          <input
            type="range"
            min={5}
            max={100}
            step={5}
            value={Math.round(options.level * 100)}
            onChange={({ target }) => change({ level: Number(target.value) / 100 })}
          />
          <output>{Math.round(options.level * 100)} %</output>
        </label>
        <label>
          <span>Edges</span>
          <select
            value={options.edges}
            onChange={({ target }) => {
              const edges = Object.keys(edgeWords).find((key) => key === target.value);
              if (edges === "sine" || edges === "rounded" || edges === "square") change({ edges });
            }}
          >
            {Object.entries(edgeWords).map(([id, words]) => (
              <option key={id} value={id}>
                {words}
              </option>
            ))}
          </select>
        </label>
        <label>
          <span>Samples a second</span>
          <select
            value={options.sampleRateHz}
            onChange={({ target }) => change({ sampleRateHz: Number(target.value) })}
          >
            {rates.map((rate) => (
              <option key={rate} value={rate}>
                {rate}
              </option>
            ))}
          </select>
        </label>
        <label className="make-tick">
          <input
            type="checkbox"
            checked={options.isInverted}
            onChange={({ target }) => change({ isInverted: target.checked })}
          />
          <span>Upside down</span>
        </label>
      </div>
      <div className="make-actions">
        {now === null ? (
          <button
            type="button"
            className="main-button"
            disabled={source === null}
            onClick={() => void make((samples, rate, of) => play(`Playing ${of}`, samples, rate))}
          >
            Play to the machine
          </button>
        ) : (
          <button type="button" className="main-button" onClick={stopPlaying}>
            <span className="stop-square" aria-hidden="true" />
            Stop{" "}
            <span className="place">
              {momentOnTape(now.at, 1)} of {momentOnTape(now.seconds, 1)}
            </span>
          </button>
        )}
        <button
          type="button"
          className="plain-button"
          disabled={source === null}
          onClick={() =>
            void make((samples, rate, of) =>
              saveFile(`${stemOf(of)}-clean.wav`, [wavFile([samples], rate)], "audio/wav"),
            )
          }
        >
          Save clean WAV
        </button>
        <button
          type="button"
          className="plain-button"
          disabled={source === null || scheme.loader === undefined || scheme.signal.kind === "phase"}
          onClick={() => void check()}
        >
          Check margins
        </button>
        {reading !== null && (
          <>
            <button
              type="button"
              className="plain-button"
              onClick={() =>
                saveFile(`${stemOf(name)}.bin`, [contentsOf(reading)], "application/octet-stream")
              }
            >
              Save bytes
            </button>
            <button
              type="button"
              className="plain-button"
              onClick={() =>
                saveFile(`${stemOf(name)}.json`, [manifestText(reading, recordings)], "application/json")
              }
            >
              Save description
            </button>
          </>
        )}
      </div>
      <p className="quiet">
        Lead from the headphone output to the machine's tape input, volume low at first: a line output is made
        for far less than what an amplifier gives.
      </p>
      {margins !== null && margins.of === scheme && <Margins margins={margins.margins} bytes={marginBytes} />}
      <Problems problems={problems} />
    </section>
  );
}

/** What was read goes back as it stood on the tape, headers included; in another scheme only its contents do. */
function makingTask(
  { bytes }: Source,
  reading: Reading | null,
  scheme: TapeScheme,
  options: MakingOptions,
): Task {
  if (bytes !== "as read") return { kind: "make", scheme, bytes, options };
  if (reading === null || reading.schemeId !== scheme.id) {
    const contents = reading === null ? new Uint8Array(0) : contentsOf(reading);
    return { kind: "make", scheme, bytes: contents, options };
  }
  const blocks = reading.blocks.map(({ from, to }) => reading.bytes.slice(from, to));
  return { kind: "clean", scheme, blocks, options };
}
