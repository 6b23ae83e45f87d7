import { type KeyboardEvent, type ReactNode, useState } from "react";
import type { BeaconVerdict, SelfTestOptions, SelfTestSheet } from "../../app/api/self-test.js";
import type { ErrorBody } from "../../app/api/shapes.js";
import { problemOf } from "../net/load.js";
import { announce } from "../state/announcer.js";
import { record } from "../state/job-state.js";
import { goTo } from "../state/navigation.js";
import { addressOf } from "../state/route.js";
import { ProblemNote } from "../ui/problem-note.jsx";
import { memoryApi } from "./memory-api.js";

type Row = SelfTestSheet["rows"][number];
type Signal = Row["signals"][number];

const mostSignals = 8;
const mostShown = 6;

/** The signals of the self-test tapped in as they are seen, and what they mean. */
export function BeaconTaps({
  job,
  closed,
  options,
  sheet,
}: {
  readonly job: string;
  readonly closed: boolean;
  readonly options: SelfTestOptions;
  readonly sheet: SelfTestSheet;
}): ReactNode {
  const [taps, setTaps] = useState<readonly Signal[]>([]);
  const [messages, setMessages] = useState<readonly Row[]>([]);
  const [verdict, setVerdict] = useState<BeaconVerdict | null>(null);
  const [problem, setProblem] = useState<ErrorBody["error"] | null>(null);
  const possible = sheet.rows.filter((row) => taps.every((tap, k) => row.signals[k] === tap));
  const meant = possible.find(({ signals }) => signals.length === taps.length);
  const tap = (signal: Signal): void => {
    setVerdict(null);
    setTaps((now) => (now.length >= mostSignals ? now : [...now, signal]));
  };
  const keys = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { key } = event;
    if (key === "s" || key === ".") tap("short");
    else if (key === "l" || key === "-") tap("long");
    else if (key === "Backspace") setTaps((now) => now.slice(0, -1));
    else return;
    event.preventDefault();
    event.stopPropagation();
  };
  const take = (row: Row): void => {
    setMessages((now) => [...now, row]);
    setTaps([]);
    setVerdict(null);
    announce(`Message: ${row.title}.`);
  };
  const read = async (all: readonly Row[]): Promise<void> => {
    setProblem(null);
    try {
      const body = { options, messages: all.map(({ signals }) => [...signals]) };
      const next = await memoryApi.readBeacon(job, body);
      setVerdict(next);
      announce(next.says);
    } catch (cause) {
      setVerdict(null);
      setProblem(problemOf(cause));
    }
  };
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: the keys work beside the buttons, which do the same
    <div className="taps" onKeyDown={keys}>
      <h3>What it sent</h3>
      <p className="quiet">
        Leave out the long start mark, then tap one copy: short and long as you see them at {sheet.probe.part}{" "}
        pin {sheet.probe.pin}. Keys: <kbd>s</kbd> <kbd>l</kbd> and <kbd>⌫</kbd>.
      </p>
      <div className="taps-pads">
        <button type="button" className="tap-pad" onClick={() => tap("short")}>
          <Signals signals={["short"]} /> Short
        </button>
        <button type="button" className="tap-pad" onClick={() => tap("long")}>
          <Signals signals={["long"]} /> Long
        </button>
        <button
          type="button"
          className="plain-button"
          disabled={taps.length === 0}
          onClick={() => setTaps((now) => now.slice(0, -1))}
        >
          Take the last back
        </button>
      </div>
      <div className="taps-now">
        {taps.length === 0 ? (
          <p className="quiet">Nothing tapped yet.</p>
        ) : (
          <p>
            <Signals signals={taps} /> {taps.join(", ")}
          </p>
        )}
        {meant !== undefined && (
          <div className="taps-meant">
            <p>
              If that is all: <strong>{meant.title}</strong>
              {meant.parts.length > 0 && (
                <>
                  , look at <Parts job={job} parts={meant.parts} />
                </>
              )}
            </p>
            <button type="button" className="plain-button" onClick={() => take(meant)}>
              Take this message
            </button>
          </div>
        )}
        {taps.length > 0 && possible.length === 0 && (
          <p role="status">No message begins like this: count again at the next copy.</p>
        )}
        {taps.length > 0 && possible.length > (meant === undefined ? 0 : 1) && (
          <ul className="taps-possible">
            {possible
              .filter((row) => row !== meant)
              .slice(0, mostShown)
              .map((row) => (
                <li key={row.signals.join()}>
                  <Signals signals={row.signals} /> {row.title}
                </li>
              ))}
            {possible.length - 1 > mostShown && <li className="quiet">and more</li>}
          </ul>
        )}
      </div>
      {messages.length > 0 && (
        <ol className="taps-messages">
          {messages.map((row, k) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: the same message may come twice
            <li key={k}>
              <Signals signals={row.signals} /> <strong>{row.title}</strong>{" "}
              <Parts job={job} parts={row.parts} />
              <button
                type="button"
                className="plain-button"
                onClick={() => {
                  setMessages((now) => now.filter((_, at) => at !== k));
                  setVerdict(null);
                }}
              >
                Take out
              </button>
            </li>
          ))}
        </ol>
      )}
      <div className="taps-end">
        <button
          type="button"
          className="main-button"
          disabled={messages.length === 0}
          onClick={() => void read(messages)}
        >
          What does it say?
        </button>
        <button
          type="button"
          className="plain-button"
          disabled={messages.length > 0 || taps.length > 0}
          onClick={() => void read([])}
        >
          It gives no sign at all
        </button>
      </div>
      {problem !== null && <ProblemNote problem={problem} />}
      {verdict !== null && (
        <div className="fails-log">
          <p>
            <strong>For the log:</strong> {verdict.says}
          </p>
          {!closed && (
            <button
              type="button"
              className="main-button"
              onClick={() => {
                record(job, verdict.entry, verdict.says);
                goTo({ page: "job", job });
              }}
            >
              Add to the log as evidence
            </button>
          )}
        </div>
      )}
    </div>
  );
}

function Parts({ job, parts }: { readonly job: string; readonly parts: readonly string[] }): ReactNode {
  return parts.map((part, k) => (
    <span key={part}>
      {k === 0 ? "" : ", "}
      <a className="place" href={addressOf({ page: "part", job, ref: part })}>
        {part}
      </a>
    </span>
  ));
}

/** Signals as bars, as they would be drawn on paper. */
function Signals({ signals }: { readonly signals: readonly Signal[] }): ReactNode {
  const gap = 6;
  const lengths = signals.map((signal) => (signal === "long" ? 24 : 8));
  const starts = lengths.map((_, k) => lengths.slice(0, k).reduce((sum, length) => sum + length + gap, 0));
  const whole = lengths.reduce((sum, length) => sum + length + gap, -gap);
  return (
    <svg className="signals" viewBox={`0 0 ${whole} 10`} width={whole} height={10} aria-hidden="true">
      {lengths.map((length, k) => (
        <rect key={starts[k]} x={starts[k]} width={length} height={10} rx={1} />
      ))}
    </svg>
  );
}
