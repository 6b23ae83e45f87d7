import type { LogEntry, LogLine } from "../../app/api/entry.js";
import type { Findings } from "../../app/api/findings.js";
import type { JobDetail } from "../../app/api/jobs.js";
import type { StreamEvent } from "../../app/api/stream.js";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { onDelivered, send } from "../net/outbox.js";
import { RequestError } from "../net/request.js";
import { mergeLines } from "./log.js";
import { createStore, type Store } from "./store.js";

/** A job as this page knows it. */
export interface JobState {
  readonly id: string;
  readonly detail: JobDetail | null;
  /** Those of `detail.revision`, or older ones while newer are being worked out. */
  readonly findings: Findings | null;
  readonly progress: { readonly share: number; readonly doing: string } | null;
  /** Why there are no newer findings. */
  readonly stopped: string | null;
  readonly problem: RequestError["body"] | null;
}

const states = new Map<string, Store<JobState>>();

/** The state of a job; fetched the first time it is asked for. */
export function jobStore(id: string): Store<JobState> {
  const known = states.get(id);
  if (known !== undefined) return known;
  const store = createStore<JobState>({
    id,
    detail: null,
    findings: null,
    progress: null,
    stopped: null,
    problem: null,
  });
  states.set(id, store);
  void refreshJob(id);
  return store;
}

/** Fetches a job and its findings anew. */
export async function refreshJob(id: string): Promise<void> {
  const store = states.get(id);
  if (store === undefined) return;
  try {
    const detail = await api.job(id);
    store.update((now) => ({ ...now, detail: newerDetail(now.detail, detail), problem: null }));
    takeFindings(store, await api.findings(id));
  } catch (cause) {
    if (!(cause instanceof RequestError)) throw cause;
    store.update((now) => ({ ...now, problem: cause.body, progress: null }));
  }
}

/** Adds an entry to a job's log by way of the outbox. */
export function record(id: string, entry: LogEntry, says: string): void {
  const revision = states.get(id)?.get().detail?.revision;
  send(id, entry, { says, after: revision });
}

/** True while the findings shown are older than the log. */
export function isBehind({ detail, findings }: JobState): boolean {
  return detail !== null && (findings === null || findings.revision < detail.revision);
}

function newerDetail(now: JobDetail | null, fetched: JobDetail): JobDetail {
  return now !== null && now.revision > fetched.revision ? now : fetched;
}

function takeFindings(store: Store<JobState>, findings: Findings): void {
  store.update((now) =>
    now.findings !== null && now.findings.revision > findings.revision
      ? now
      : { ...now, findings, progress: null, stopped: null },
  );
}

function takeLines(
  store: Store<JobState>,
  lines: readonly LogLine[],
  revision: number,
  struck: readonly number[] | undefined,
): void {
  const { detail, id } = store.get();
  if (detail === null) return;
  const log = mergeLines(detail.log, lines, struck === undefined ? undefined : new Set(struck));
  if (log === undefined) {
    void refreshJob(id);
    return;
  }
  const newest = Math.max(revision, detail.revision);
  const { job } = detail;
  store.update((now) => ({ ...now, detail: { job, log, revision: newest } }));
}

function hear(event: StreamEvent): void {
  switch (event.type) {
    case "hello":
      for (const [id, store] of states) {
        const there = event.jobs.find((job) => job.id === id);
        if (there !== undefined && there.revision !== store.get().detail?.revision) void refreshJob(id);
      }
      return;
    case "job": {
      const store = states.get(event.id);
      if (store === undefined) return;
      takeLines(store, event.lines, event.revision, event.struck);
      const concernsJob = event.lines.some(({ entry }) =>
        /^(?:job-|cannot|connection|strike)/.test(entry.kind),
      );
      if (concernsJob) void refreshJob(event.id);
      return;
    }
    case "findings": {
      const store = states.get(event.id);
      if (store !== undefined) takeFindings(store, event.findings);
      return;
    }
    case "progress": {
      const { share, doing } = event;
      states.get(event.id)?.update((now) => ({ ...now, progress: { share, doing } }));
      return;
    }
    case "stopped":
      states.get(event.id)?.update((now) => ({ ...now, progress: null, stopped: event.message }));
      return;
    case "boards":
    case "photos":
    case "devices":
      return;
  }
}

onStreamEvent(hear);
onDelivered((id, answer) => {
  const store = states.get(id);
  if (store === undefined) return;
  takeLines(store, [answer.line], answer.revision, undefined);
  if (answer.findings !== null) takeFindings(store, answer.findings);
  // Which other lines a strike brings back or takes out, the program works out.
  if (answer.line.entry.kind === "strike") void refreshJob(id);
});
