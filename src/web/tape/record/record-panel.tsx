import { type ReactNode, useCallback, useEffect, useRef, useState } from "react";
import { announce } from "../../state/announcer.js";
import { Icon } from "../../ui/icon.jsx";
import { momentText } from "../../ui/words.js";
import { momentOnTape } from "../strip/strip-view.js";
import { tapeDesk } from "../work/desk.js";
import { Meter } from "./meter.jsx";
import { canRecord, type Heard, type Input, listInputs, Recorder } from "./recorder.js";

/** Shown level: the loudest piece of the last moments, falling slowly. */
const fall = 0.93;

interface Shown {
  readonly levels: readonly number[];
  readonly peaks: readonly number[];
}

const silence: Shown = { levels: [0], peaks: [0] };

/** The recorder: input, meter, begin and end. What is recorded grows on the strip while it is recorded. */
export function RecordPanel({ onClose }: { readonly onClose: () => void }): ReactNode {
  const [inputs, setInputs] = useState<readonly Input[]>([]);
  const [input, setInput] = useState<string | undefined>(undefined);
  const [shown, setShown] = useState(silence);
  const [clipped, setClipped] = useState(0);
  const [trouble, setTrouble] = useState("");
  const [running, setRunning] = useState<Recorder | null>(null);
  const [take, setTake] = useState<number | null>(null);
  const [seconds, setSeconds] = useState(0);
  const recording = useRef<{ take: number; samples: number } | null>(null);

  const hear = useCallback((heard: Heard) => {
    setShown(({ peaks }) => ({
      levels: heard.levels,
      peaks: heard.peaks.map((peak, i) => Math.max(peak, (peaks[i] ?? 0) * fall)),
    }));
    const now = recording.current;
    if (now === null) return;
    if (heard.clipped > 0) setClipped((count) => count + heard.clipped);
    now.samples += heard.channels[0]?.length ?? 0;
    tapeDesk().append(now.take, heard.channels);
  }, []);

  useEffect(() => {
    let recorder: Recorder | undefined;
    let wanted = true;
    Recorder.open(input, hear).then(
      async (opened) => {
        if (!wanted) return opened.close();
        recorder = opened;
        setRunning(opened);
        setTrouble("");
        setInputs(await listInputs());
      },
      (cause: unknown) => {
        if (wanted) setTrouble(refusal(cause));
      },
    );
    return () => {
      wanted = false;
      setRunning(null);
      if (recording.current !== null) tapeDesk().end(recording.current.take);
      recording.current = null;
      void recorder?.close();
    };
  }, [input, hear]);

  useEffect(() => {
    if (take === null || running === null) return;
    const timer = setInterval(
      () => setSeconds((recording.current?.samples ?? 0) / running.sampleRateHz),
      200,
    );
    return () => clearInterval(timer);
  }, [take, running]);

  const begin = (): void => {
    if (running === null) return;
    const now = new Date();
    const name = `Recording ${momentText(now.toISOString(), now)}`;
    const number = tapeDesk().begin(name, running.sampleRateHz, running.channelCount);
    recording.current = { take: number, samples: 0 };
    setClipped(0);
    setSeconds(0);
    setTake(number);
    announce("Recording");
  };
  const end = (): void => {
    if (recording.current !== null) tapeDesk().end(recording.current.take);
    recording.current = null;
    setTake(null);
    announce("Recording ended");
    onClose();
  };

  return (
    <section className="recorder" aria-label="Recorder">
      <div className="recorder-meters">
        {shown.peaks.map((peak, i) => (
          <Meter
            // biome-ignore lint/suspicious/noArrayIndexKey: a channel is its number
            key={i}
            name={shown.peaks.length === 1 ? "In" : (["L", "R"][i] ?? "")}
            level={shown.levels[i] ?? 0}
            peak={peak}
          />
        ))}
        <p className="recorder-words" role="status" data-clipped={clipped > 0 || undefined}>
          {levelAdvice(shown, clipped, running !== null)}
        </p>
      </div>
      <label className="recorder-input">
        <span>Input</span>
        <select
          value={input ?? ""}
          disabled={take !== null}
          onChange={({ target }) => setInput(target.value === "" ? undefined : target.value)}
        >
          <option value="">As the system chooses</option>
          {inputs.map(({ id, label }) => (
            <option key={id} value={id}>
              {label}
            </option>
          ))}
        </select>
      </label>
      <div className="recorder-actions">
        {take === null ? (
          <button type="button" className="main-button" disabled={running === null} onClick={begin}>
            <span className="record-dot" aria-hidden="true" />
            Start recording
          </button>
        ) : (
          <button type="button" className="main-button" onClick={end}>
            <span className="stop-square" aria-hidden="true" />
            Stop <span className="place">{momentOnTape(seconds, 1)}</span>
          </button>
        )}
        {take === null && (
          <button type="button" className="plain-button" onClick={onClose}>
            Close
          </button>
        )}
      </div>
      {trouble !== "" && (
        <p className="recorder-trouble" role="alert">
          <Icon name="warning" /> {trouble}
        </p>
      )}
      {running !== null && running.meddling.length > 0 && (
        <p className="recorder-trouble" role="alert">
          <Icon name="warning" /> The browser leaves {running.meddling.join(" and ")} on, which spoils data.
          Record with another program and open the file.
        </p>
      )}
    </section>
  );
}

/** Said in place of the recorder where the browser does not let this page record. */
export function NoRecorder(): ReactNode {
  return (
    <p className="recorder-none">
      <Icon name="warning" />
      <span>
        Browsers record only for pages of the same machine or over https, and this page came over a plain
        network link. Open it on the machine that runs the program, or record with anything else and open the
        file here.
      </span>
    </p>
  );
}

/** Whether to show the recorder at all. */
export const hasRecorder = canRecord;

function levelAdvice({ peaks }: Shown, clipped: number, isRunning: boolean): string {
  if (!isRunning) return "Waiting for the input";
  if (clipped > 0) return "Clipped: turn the level down and record again";
  const peak = Math.max(...peaks);
  if (peak >= 0.985) return "Too loud: turn the level down";
  if (peak < 0.001) return "Nothing comes in: check lead and input";
  if (peak < 0.06) return "Faint: turn the level up";
  return "Level is good";
}

function refusal(cause: unknown): string {
  const name = cause instanceof DOMException ? cause.name : "";
  if (name === "NotAllowedError")
    return "The browser was not allowed to record. Allow the microphone for this page.";
  if (name === "NotFoundError") return "This device has no input to record from.";
  if (name === "OverconstrainedError") return "That input is gone. Choose another.";
  return `The input cannot be opened: ${cause instanceof Error ? cause.message : String(cause)}`;
}
