import { type ReactNode, useCallback, useEffect, useRef, useState } from "react";
import type { MeasureOptions } from "../../core/deck/reading.js";
import { speedErrorRatio } from "../../core/deck/speed.js";
import { decibelOf } from "../../core/deck/statistics.js";
import { type ToneFrame, ToneLens } from "../../core/deck/tone-frames.js";
import { announce } from "../state/announcer.js";
import { Meter } from "../tape/record/meter.jsx";
import { type Heard, type Input, listInputs, Recorder } from "../tape/record/recorder.js";
import { Icon } from "../ui/icon.jsx";
import { AzimuthMeter, type HeadHeard } from "./azimuth-meter.jsx";
import { signed } from "./charts.jsx";
import { mechanism } from "./mechanism.js";

/** Samples of the live reading: a sixth of a second, which the hand at the screw can follow. */
const lensSamples = 8192;
const fall = 0.93;

interface Shown {
  readonly levels: readonly number[];
  readonly peaks: readonly number[];
  readonly frame: ToneFrame | undefined;
  /** Greatest level of the tone so far, decibels. */
  readonly best: number;
}
const silence: Shown = { levels: [0], peaks: [0], frame: undefined, best: -200 };

/** Listens to the deck: what the tone reads now, the meter for the azimuth screw, and a measurement over some time. */
export function Listening({
  options,
  onClose,
}: {
  readonly options: MeasureOptions;
  readonly onClose: () => void;
}): ReactNode {
  const [shown, setShown] = useState(silence);
  const [trouble, setTrouble] = useState("");
  const [running, setRunning] = useState<Recorder | null>(null);
  const [seconds, setSeconds] = useState<number | null>(null);
  const [inputs, setInputs] = useState<readonly Input[]>([]);
  const [input, setInput] = useState<string | undefined>(undefined);
  const measuring = useRef<{ ticket: number; samples: number } | null>(null);
  const lens = useRef<{ tool: ToneLens; rateHz: number; held: Float32Array[] } | null>(null);
  const rate = useRef(48000);

  const hear = useCallback((heard: Heard) => {
    const frame = lookAt(lens, rate.current, heard.channels);
    setShown(({ peaks, best, frame: before }) => {
      const level = frame === undefined ? -200 : Math.max(...frame.amplitudes.map(decibelOf));
      // Another tone begins anew: the best level of a low tone says nothing of a high one.
      const isSame = before !== undefined && frame !== undefined && Math.abs(frame.hz / before.hz - 1) < 0.05;
      return {
        levels: heard.levels,
        peaks: heard.peaks.map((peak, i) => Math.max(peak, (peaks[i] ?? 0) * fall)),
        frame,
        best: isSame ? Math.max(best, level) : level,
      };
    });
    const now = measuring.current;
    if (now === null) return;
    now.samples += heard.channels[0]?.length ?? 0;
    mechanism().append(now.ticket, heard.channels);
    setSeconds(now.samples / rate.current);
  }, []);

  useEffect(() => {
    let recorder: Recorder | undefined;
    let wanted = true;
    Recorder.open(input, hear).then(
      (opened) => {
        if (!wanted) return void opened.close();
        recorder = opened;
        rate.current = opened.sampleRateHz;
        setRunning(opened);
        setTrouble("");
        listInputs().then(setInputs, () => undefined);
      },
      (cause: unknown) => {
        if (wanted) setTrouble(cause instanceof Error ? cause.message : String(cause));
      },
    );
    return () => {
      wanted = false;
      setRunning(null);
      setSeconds(null);
      if (measuring.current !== null) mechanism().forget(measuring.current.ticket);
      measuring.current = null;
      void recorder?.close();
    };
  }, [input, hear]);

  const begin = (): void => {
    measuring.current = { ticket: mechanism().begin("Heard from the deck", rate.current), samples: 0 };
    setSeconds(0);
    announce("Measuring");
  };
  const end = (): void => {
    const now = measuring.current;
    measuring.current = null;
    setSeconds(null);
    if (now === null) return;
    mechanism().end(now.ticket, options);
    announce("Measured");
    onClose();
  };

  const { frame } = shown;
  const isTone = frame !== undefined && frame.purity > 0.3;
  return (
    <section className="mech-listening" aria-label="Listening to the deck">
      <div className="mech-live">
        <p className="mech-live-hz">
          <span className="mech-figure">{isTone ? frame.hz.toFixed(0) : "–"}</span> Hz
        </p>
        <p className="mech-live-words" role="status">
          {running === null
            ? "Waiting for the input"
            : liveWords(isTone ? frame.hz : undefined, options.toneHz)}
        </p>
        <div className="mech-meters">
          {shown.peaks.map((peak, i) => (
            <Meter
              // biome-ignore lint/suspicious/noArrayIndexKey: a channel is its number
              key={i}
              name={shown.peaks.length === 1 ? "In" : (["L", "R"][i] ?? "")}
              level={shown.levels[i] ?? 0}
              peak={peak}
            />
          ))}
        </div>
      </div>
      <AzimuthMeter heard={isTone ? headHeard(frame, shown.best) : undefined} />
      <label className="field">
        <span>Input</span>
        <select
          value={input ?? ""}
          disabled={seconds !== null}
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
      <div className="mech-actions">
        {seconds === null ? (
          <button type="button" className="main-button" disabled={running === null} onClick={begin}>
            Start measuring
          </button>
        ) : (
          <button type="button" className="main-button" onClick={end}>
            Stop and read <span className="place">{seconds.toFixed(0)} s</span>
          </button>
        )}
        <button type="button" className="slab-button" onClick={onClose}>
          Close
        </button>
        {seconds !== null && seconds < 30 && <p>Thirty seconds or more make a good reading.</p>}
      </div>
      {trouble !== "" && (
        <p role="alert">
          <Icon name="warning" /> The input cannot be opened: {trouble}
        </p>
      )}
      {running !== null && running.meddling.length > 0 && (
        <p role="alert">
          <Icon name="warning" /> The browser leaves {running.meddling.join(" and ")} on, which spoils the
          reading.
        </p>
      )}
    </section>
  );
}

function lookAt(
  lens: { current: { tool: ToneLens; rateHz: number; held: Float32Array[] } | null },
  rateHz: number,
  channels: readonly Float32Array[],
): ToneFrame | undefined {
  const fits =
    lens.current !== null && lens.current.rateHz === rateHz && lens.current.held.length === channels.length;
  const now =
    fits && lens.current !== null
      ? lens.current
      : {
          tool: new ToneLens(rateHz, lensSamples),
          rateHz,
          held: channels.map(() => new Float32Array(lensSamples)),
        };
  lens.current = now;
  for (const [i, samples] of channels.entries()) {
    const held = now.held[i];
    if (held === undefined) continue;
    const fresh = samples.subarray(Math.max(0, samples.length - lensSamples));
    held.copyWithin(0, fresh.length);
    held.set(fresh, lensSamples - fresh.length);
  }
  return now.tool.look(now.held, 0);
}

function headHeard(frame: ToneFrame, best: number): HeadHeard {
  const level = Math.max(...frame.amplitudes.map(decibelOf));
  return {
    hz: frame.hz,
    belowBestDecibel: level - best,
    ...(frame.aheadRadians === undefined || (frame.coherence ?? 0) < 0.5
      ? {}
      : { aheadRadians: frame.aheadRadians }),
  };
}

function liveWords(hz: number | undefined, toneHz: number | undefined): string {
  if (hz === undefined) return "No tone is heard";
  const near = toneHz ?? (Math.abs(Math.log(hz / 3150)) < Math.abs(Math.log(hz / 3000)) ? 3150 : 3000);
  if (Math.abs(hz / near - 1) > 0.2) return "A tone, but no reference tone";
  return `${signed(100 * speedErrorRatio(hz, near), 1)} % against ${near} Hz`;
}
