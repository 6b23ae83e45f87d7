import { type ReactNode, useCallback, useEffect, useMemo, useRef, useState } from "react";
import type { LogEntry, LogLine } from "../../app/api/entry.js";
import { percentText } from "../../core/draw/suspicion.js";
import { BoardMapView } from "../map/board-map-view.jsx";
import type { Spot } from "../map/scene.js";
import { api } from "../net/api.js";
import { problemOf } from "../net/load.js";
import { outbox } from "../net/outbox.js";
import { announce, notify } from "../state/announcer.js";
import { boardStore } from "../state/boards.js";
import { isBehind, type JobState, jobStore, record, refreshJob } from "../state/job-state.js";
import { lastUndoable } from "../state/log.js";
import { goTo } from "../state/navigation.js";
import { addressOf } from "../state/route.js";
import { useStore } from "../state/store.js";
import { PageHead } from "../ui/page-head.jsx";
import { ProblemNote } from "../ui/problem-note.jsx";
import { useKeys } from "../ui/use-keys.js";
import { Waiting } from "../ui/waiting.jsx";
import { CloseJob } from "./close-job.jsx";
import { Closed } from "./closed.jsx";
import { EntryLine, type LineCommand } from "./entry-line.jsx";
import { Notes, Progress } from "./findings-notes.jsx";
import { GrowthPanel } from "./growth-panel.jsx";
import { JobMenu } from "./job-menu.jsx";
import { NextSteps } from "./next-steps.jsx";
import { Suspects } from "./suspects.jsx";
import { SymptomDialog } from "./symptom-dialog.jsx";
import { TimeLine } from "./time-line.jsx";
import { WiringTool } from "./wiring-tool.jsx";

type Open = "close" | "symptoms" | null;

/** The bench: next step, board, suspects, log, and the line for everything else. */
export function JobPage({ id }: { readonly id: string }): ReactNode {
  const state = useStore(useMemo(() => jobStore(id), [id]));
  const { detail, findings, problem } = state;
  const { board } = useStore(useMemo(() => boardStore(detail?.job.drawing ?? ""), [detail?.job.drawing]));
  const all = useStore(outbox);
  const [open, setOpen] = useState<Open>(null);
  const [prefill, setPrefill] = useState({ text: "", number: 0 });
  const [stepIndex, setStepIndex] = useState(0);
  const [ringFrom, setRingFrom] = useState<string | null>(null);
  const [ringTo, setRingTo] = useState<string | null>(null);
  const field = useRef<HTMLInputElement | null>(null);
  const log = detail?.log ?? [];
  // The stream may bring an entry into the log before the answer to its sending has come.
  const waiting = all.filter((item) => item.job === id && !log.some((line) => line.id === item.id));
  const closed = detail?.job.state === "closed";

  useAnnouncedFindings(state);
  // biome-ignore lint/correctness/useExhaustiveDependencies: new findings begin again with the best step
  useEffect(() => setStepIndex(0), [findings?.revision]);

  const add = useCallback((entry: LogEntry, says: string) => record(id, entry, says), [id]);
  const strike = useCallback(
    (line: LogLine) => {
      add({ kind: "strike", entry: line.number }, `Entry ${line.number} struck out: ${line.text}`);
      notify({ text: line.entry.kind === "strike" ? "Put back." : `Struck out: ${line.text}` });
    },
    [add],
  );
  const undo = (): void => {
    const line = lastUndoable(log);
    if (line === undefined) notify({ text: "There is nothing to undo." });
    else strike(line);
  };
  const type = (text: string): void => setPrefill((now) => ({ text, number: now.number + 1 }));
  const command = (asked: LineCommand): void => {
    const line = log.find((one) => one.number === asked.entry);
    if (asked.command === "undo") undo();
    else if (asked.command === "strike" && line !== undefined) strike(line);
    else if (asked.command === "why" && asked.part !== undefined)
      goTo({ page: "why", job: id, ref: asked.part });
    else if (asked.command === "symptoms") setOpen("symptoms");
    else if (asked.command === "help") goTo({ page: "settings" });
    else document.getElementById(asked.command === "log" ? "log-title" : "suspects-title")?.focus();
  };
  useKeys({
    "/": () => field.current?.focus(),
    u: () => !closed && undo(),
    m: () => document.querySelector<HTMLElement>(".map-desk")?.focus(),
    s: () => document.getElementById("suspects-title")?.focus(),
    l: () => document.getElementById("log-title")?.focus(),
  });

  const suspicion = useMemo(
    () => new Map((findings?.result.suspects ?? []).map(({ part, probability }) => [part, probability])),
    [findings],
  );
  const view = findings?.steps[stepIndex];
  const probes = useMemo<Spot[]>(
    () => (closed ? [] : (view?.places ?? []).map(({ part, pin }) => ({ ref: part, pin }))),
    [view, closed],
  );

  if (detail === null) {
    return (
      <main className="page">
        <PageHead title="Job" />
        {problem === null ? (
          <Waiting what="The log is being read" />
        ) : (
          <ProblemNote problem={problem} onRetry={() => void refreshJob(id)} />
        )}
      </main>
    );
  }
  const { job } = detail;
  const underway = waiting.some((item) => item.refused === undefined) || isBehind(state);
  const mended = mendedPart(log);

  return (
    <main className="job" data-closed={closed}>
      <PageHead title={job.title} below={job.boardTitle}>
        <JobMenu
          job={id}
          closed={closed}
          canUndo={!closed && lastUndoable(log) !== undefined}
          onUndo={undo}
          onSymptoms={() => setOpen("symptoms")}
          onClose={() => setOpen("close")}
          onReopen={() => api.reopenJob(id).catch((cause) => notify({ text: problemOf(cause).message }))}
        />
      </PageHead>
      <div className="job-grid">
        <div className="job-step">
          {problem !== null && <ProblemNote problem={problem} onRetry={() => void refreshJob(id)} />}
          <Progress state={state} onCancel={() => void api.cancel(id).catch(() => undefined)} />
          {closed ? (
            <Closed job={job} />
          ) : (
            <NextSteps
              findings={findings}
              index={stepIndex}
              board={board}
              busy={underway}
              mended={mended}
              onChoose={setStepIndex}
              onAnswer={(answer, step) => add(answer.entry, `${step.title}: ${answer.shows}`)}
              onCannot={(step) =>
                add({ kind: "cannot", step: step.id, says: step.title }, `Cannot: ${step.title}`)
              }
              onOther={() => field.current?.focus()}
              onClose={() => setOpen("close")}
              onSymptoms={() => setOpen("symptoms")}
            />
          )}
          {findings !== null && <Notes findings={findings} log={log} onStrike={strike} />}
        </div>
        <div className="job-map">
          {board === null ? (
            <Waiting what="The board is being drawn" />
          ) : (
            <BoardMapView
              map={board}
              suspicion={suspicion}
              probes={probes}
              photos={{ job: id }}
              onPick={({ ref, pin }) =>
                setRingTo(ringFrom === null || ringFrom === `${ref}.${pin}` ? null : `${ref}.${pin}`)
              }
              actions={(spot) => (
                <>
                  <a className="plain-button" href={addressOf({ page: "part", job: id, ref: spot.ref })}>
                    Open {spot.ref}
                  </a>
                  {!closed && (
                    <button
                      type="button"
                      className="plain-button"
                      onClick={() => type(spot.pin === null ? `${spot.ref} ` : `${spot.ref}.${spot.pin} `)}
                    >
                      Enter a reading here
                    </button>
                  )}
                  {!closed && spot.pin !== null && ringFrom === null && (
                    <button
                      type="button"
                      className="plain-button"
                      onClick={() => setRingFrom(`${spot.ref}.${spot.pin}`)}
                    >
                      Ring from here
                    </button>
                  )}
                </>
              )}
            >
              {ringFrom !== null && !closed && (
                <WiringTool
                  from={ringFrom}
                  to={ringTo}
                  onAdd={add}
                  onEnd={() => {
                    setRingFrom(null);
                    setRingTo(null);
                  }}
                />
              )}
            </BoardMapView>
          )}
        </div>
        <div className="job-suspects">
          {findings === null ? (
            <Waiting what="The suspects are being worked out" />
          ) : (
            <Suspects job={id} findings={findings} />
          )}
          {board?.growth != null && (
            <GrowthPanel job={id} growth={board.growth} log={log} onStrike={strike} />
          )}
        </div>
        <div className="job-log">
          <TimeLine log={log} waiting={waiting} onStrike={strike} readOnly={closed} />
        </div>
      </div>
      {!closed && <EntryLine job={id} field={field} prefill={prefill} onEntry={add} onCommand={command} />}
      {open === "close" && (
        <CloseJob
          job={id}
          findings={findings}
          mended={mended}
          onClose={() => setOpen(null)}
          onDone={() => {
            setOpen(null);
            notify({ text: "The job is closed." });
            void refreshJob(id);
          }}
        />
      )}
      {open === "symptoms" && board !== null && (
        <SymptomDialog symptoms={board.symptoms} log={log} onAdd={add} onClose={() => setOpen(null)} />
      )}
    </main>
  );
}

/** The part whose repair the log says made the machine work, if that still stands. */
function mendedPart(log: readonly LogLine[]): string | undefined {
  const last = log.findLast(
    ({ entry, struck }) => !struck && "result" in entry && entry.result === "fixed" && "part" in entry,
  );
  return last !== undefined && "part" in last.entry ? last.entry.part : undefined;
}

/** Says the next step and the leading suspect whenever they are new. */
function useAnnouncedFindings({ findings }: JobState): void {
  const said = useRef<number | undefined>(undefined);
  useEffect(() => {
    if (findings === null || said.current === findings.revision) return;
    const first = said.current === undefined;
    said.current = findings.revision;
    if (first) return;
    const [lead] = findings.result.suspects;
    const [step] = findings.steps;
    const suspect =
      lead === undefined ? "" : `Leading suspect ${lead.part}, ${percentText(lead.probability)}. `;
    announce(`${suspect}${step === undefined ? "No further step." : `Next: ${step.title}`}`);
  }, [findings]);
}
