import {
  type KeyboardEvent,
  type ReactNode,
  type RefObject,
  useEffect,
  useId,
  useRef,
  useState,
} from "react";
import type { LogEntry } from "../../app/api/entry.js";
import type { Understood } from "../../app/api/jobs.js";
import { api } from "../net/api.js";
import { sendLine } from "../net/outbox.js";
import { RequestError } from "../net/request.js";
import { drafts, keepDraft } from "../state/drafts.js";
import { Icon } from "../ui/icon.jsx";

/** What a typed line may ask for beside adding an entry. */
export type LineCommand = Extract<Understood, { outcome: "command" }>;

interface Props {
  readonly job: string;
  readonly field: RefObject<HTMLInputElement | null>;
  /** Text put into the line from elsewhere, as by choosing a pin; the number tells repeats apart. */
  readonly prefill: { readonly text: string; readonly number: number };
  readonly onEntry: (entry: LogEntry, says: string) => void;
  readonly onCommand: (command: LineCommand) => void;
}

type Echo =
  | { readonly state: "nothing" }
  | { readonly state: "understood"; readonly text: string; readonly of: Understood }
  | { readonly state: "unreachable"; readonly text: string };

const pauseMilliseconds = 70;
const shownCompletions = 6;

/** Where any reading is typed: what was understood is echoed at once, with lines it may grow into. */
export function EntryLine({ job, field, prefill, onEntry, onCommand }: Props): ReactNode {
  const [text, setText] = useState(() => drafts.get()[job] ?? "");
  const [echo, setEcho] = useState<Echo>({ state: "nothing" });
  const [picked, setPicked] = useState(-1);
  const listId = useId();
  const echoId = useId();

  const change = (next: string): void => {
    setText(next);
    setPicked(-1);
    keepDraft(job, next);
  };

  const taken = useRef(prefill.number);
  useEffect(() => {
    if (taken.current === prefill.number) return;
    taken.current = prefill.number;
    setText(prefill.text);
    setPicked(-1);
    keepDraft(job, prefill.text);
    field.current?.focus();
  }, [prefill, job, field]);

  useEffect(() => {
    if (text.trim() === "") {
      setEcho({ state: "nothing" });
      return;
    }
    const abort = new AbortController();
    const timer = setTimeout(() => {
      understand(job, text, abort.signal).then(setEcho, () => undefined);
    }, pauseMilliseconds);
    return () => {
      clearTimeout(timer);
      abort.abort();
    };
  }, [job, text]);

  const completions = completionsOf(echo).slice(0, shownCompletions);

  const submit = async (line: string): Promise<void> => {
    if (line.trim() === "") return;
    const known = echo.state !== "nothing" && echo.text === line ? echo : await understand(job, line);
    if (known.state === "unreachable") {
      sendLine(job, line.trim());
      change("");
    } else if (known.state === "understood" && known.of.outcome === "entry") {
      onEntry(known.of.entry, known.of.says);
      change("");
    } else if (known.state === "understood" && known.of.outcome === "command") {
      change("");
      onCommand(known.of);
    } else setEcho(known);
  };

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      if (completions.length === 0) return;
      event.preventDefault();
      const by = event.key === "ArrowDown" ? 1 : -1;
      setPicked((now) => ((now + by + completions.length + 1 + 1) % (completions.length + 1)) - 1);
    } else if (event.key === "Tab" && !event.shiftKey && picked >= 0) {
      event.preventDefault();
      change(completions[picked] ?? text);
    } else if (event.key === "Escape") {
      if (picked >= 0) setPicked(-1);
      else if (text === "") field.current?.blur();
      else change("");
    } else if (event.key === "Enter") {
      event.preventDefault();
      const chosen = completions[picked];
      if (chosen === undefined) void submit(text);
      else change(`${chosen} `);
    }
  };

  return (
    <form
      className="entry"
      aria-label="Enter anything you saw or did"
      onSubmit={(event) => {
        event.preventDefault();
        void submit(text);
      }}
    >
      <div className="entry-above">
        {completions.length > 0 && (
          <div className="entry-completions" role="listbox" id={listId} aria-label="Possible lines">
            {completions.map((line, i) => (
              <div
                key={line}
                id={`${listId}-${i}`}
                role="option"
                tabIndex={-1}
                aria-selected={i === picked}
                className="entry-completion"
                onPointerDown={(event) => {
                  event.preventDefault();
                  change(`${line} `);
                }}
              >
                {line}
              </div>
            ))}
          </div>
        )}
        <p id={echoId} className="entry-echo" role="status">
          <EchoWords echo={echo} />
        </p>
      </div>
      <div className="entry-row">
        <label className="entry-label" htmlFor={`${listId}-field`}>
          Saw or did{" "}
          <span className="key" aria-hidden="true">
            /
          </span>
        </label>
        <input
          id={`${listId}-field`}
          ref={field}
          className="entry-field"
          type="text"
          role="combobox"
          autoComplete="off"
          autoCapitalize="off"
          autoCorrect="off"
          spellCheck={false}
          enterKeyHint="done"
          maxLength={1000}
          placeholder="U12.6 pulsing   ·   +5V 4.62   ·   U3 swapped no change"
          value={text}
          aria-expanded={completions.length > 0}
          aria-controls={completions.length > 0 ? listId : undefined}
          aria-activedescendant={picked >= 0 ? `${listId}-${picked}` : undefined}
          aria-describedby={echoId}
          aria-autocomplete="list"
          onChange={(event) => change(event.target.value)}
          onKeyDown={onKeyDown}
        />
        <button type="submit" className="entry-send" aria-label="Put it into the log">
          <Icon name="send" />
        </button>
      </div>
    </form>
  );
}

function EchoWords({ echo }: { readonly echo: Echo }): ReactNode {
  if (echo.state === "nothing") return null;
  if (echo.state === "unreachable")
    return "The program does not answer. Enter keeps the line and sends it later.";
  const { of } = echo;
  if (of.outcome === "entry") {
    return (
      <>
        <Icon name="check" /> {of.says}
      </>
    );
  }
  if (of.outcome === "command") return <>Command: {of.command}</>;
  return (
    <>
      <strong>{of.problem}</strong> {of.hint}
      {of.suggestions.length > 0 && <> Did you mean {of.suggestions.slice(0, 2).join(" or ")}?</>}
    </>
  );
}

function completionsOf(echo: Echo): readonly string[] {
  if (echo.state !== "understood") return [];
  const { of, text } = echo;
  return of.completions.filter((line) => line.trim() !== text.trim());
}

async function understand(job: string, text: string, signal = new AbortController().signal): Promise<Echo> {
  try {
    return { state: "understood", text, of: await api.understand(job, text, signal) };
  } catch (cause) {
    if (cause instanceof RequestError && cause.kind === "refused") {
      const { message, hint } = cause.body;
      const of: Understood = {
        outcome: "problem",
        problem: message,
        ...(hint === undefined ? {} : { hint }),
        suggestions: [],
        completions: [],
      };
      return { state: "understood", text, of };
    }
    if (cause instanceof RequestError) return { state: "unreachable", text };
    throw cause;
  }
}
