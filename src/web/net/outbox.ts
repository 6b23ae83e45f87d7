import { z } from "zod";
import { type LogEntry, logEntrySchema } from "../../app/api/entry.js";
import type { EntryAnswer } from "../../app/api/jobs.js";
import { createStore, type Store } from "../state/store.js";
import { api } from "./api.js";
import { newClientId } from "./client-id.js";
import { linkState } from "./live.js";
import { RequestError } from "./request.js";

const keyPrefix = "boardwake:outbox:";
const retryMilliseconds = 2000;

const waitingSchema = z.object({
  id: z.string(),
  job: z.string(),
  order: z.number(),
  /** Either an entry, or a line typed while the program did not answer, to be understood when it does. */
  entry: logEntrySchema.optional(),
  line: z.string().optional(),
  says: z.string(),
  after: z.number().optional(),
  refused: z.object({ message: z.string(), hint: z.string().optional() }).optional(),
});

/** An entry that is not yet known to be in the log. */
export type WaitingEntry = z.infer<typeof waitingSchema>;

// Where the browser keeps nothing, entries live here for as long as the page is open.
const memory = new Map<string, WaitingEntry>();

/** Entries on their way, oldest first; the same in all tabs of this browser. */
export const outbox: Store<readonly WaitingEntry[]> = createStore(readAll());

type Delivered = (job: string, answer: EntryAnswer) => void;
const receivers = new Set<Delivered>();

/** Hears of every entry that reached the log from here. */
export function onDelivered(receiver: Delivered): () => void {
  receivers.add(receiver);
  return () => receivers.delete(receiver);
}

/** Puts an entry into the outbox and sends it; it stays there until the program has confirmed or refused it. */
export function send(
  job: string,
  entry: LogEntry,
  { says, after }: { readonly says: string; readonly after?: number | undefined },
): void {
  const start = { id: newClientId(), job, order: nextOrder(), entry, says };
  keep(after === undefined ? start : { ...start, after });
  void flush();
}

/** Puts a typed line into the outbox that nobody could make sense of yet, because the program does not answer. */
export function sendLine(job: string, line: string): void {
  keep({ id: newClientId(), job, order: nextOrder(), line, says: line });
  void flush();
}

/** Takes an entry out that was refused, or that is not wanted any more. */
export function discard(id: string): void {
  memory.delete(id);
  try {
    localStorage.removeItem(keyPrefix + id);
  } catch {
    // Nothing is kept where nothing can be kept.
  }
  refresh();
}

let sending = false;
let retry: ReturnType<typeof setTimeout> | undefined;

/** Sends what waits, in order, one after the other; an entry sent twice is added once, by its id. */
export async function flush(): Promise<void> {
  if (sending) return;
  sending = true;
  clearTimeout(retry);
  try {
    for (;;) {
      const next = outbox.get().find((item) => item.refused === undefined);
      if (next === undefined || !(await deliver(next))) return;
    }
  } finally {
    sending = false;
    if (outbox.get().some((item) => item.refused === undefined)) {
      retry = setTimeout(() => void flush(), retryMilliseconds);
    }
  }
}

/** Sends one entry; false if it must be tried again later. */
async function deliver(item: WaitingEntry): Promise<boolean> {
  const { id, job, after } = item;
  try {
    const entry = item.entry ?? (await understand(item));
    if (entry === undefined) return true;
    const answer = await api.addEntry(job, after === undefined ? { id, entry } : { id, entry, after });
    discard(id);
    for (const receiver of receivers) receiver(job, answer);
    return true;
  } catch (cause) {
    if (!(cause instanceof RequestError)) throw cause;
    const final =
      cause.kind === "refused" && cause.status >= 400 && cause.status < 500 && cause.status !== 401;
    if (!final) return false;
    const { message, hint } = cause.body;
    keep({ ...item, refused: hint === undefined ? { message } : { message, hint } });
    return true;
  }
}

/** The entry that a typed line means; undefined if it means none, which is then kept with the line. */
async function understand(item: WaitingEntry): Promise<LogEntry | undefined> {
  const { line = "" } = item;
  const understood = await api.understand(item.job, line, new AbortController().signal);
  if (understood.outcome === "entry") return understood.entry;
  if (understood.outcome === "command") {
    keep({ ...item, refused: { message: "This is a command and no entry; give it again." } });
    return undefined;
  }
  const { problem: message, hint } = understood;
  keep({ ...item, refused: hint === undefined ? { message } : { message, hint } });
  return undefined;
}

function keep(item: WaitingEntry): void {
  try {
    localStorage.setItem(keyPrefix + item.id, JSON.stringify(item));
  } catch {
    memory.set(item.id, item);
  }
  refresh();
}

function refresh(): void {
  outbox.set(readAll());
}

function nextOrder(): number {
  return Math.max(Date.now(), ...outbox.get().map((item) => item.order + 1));
}

function readAll(): WaitingEntry[] {
  const found = [...memory.values()];
  try {
    for (const key of Object.keys(localStorage)) {
      if (!key.startsWith(keyPrefix)) continue;
      const item = waitingSchema.safeParse(JSON.parse(localStorage.getItem(key) ?? "null"));
      if (item.success) found.push(item.data);
    }
  } catch {
    // Storage withheld: what is in memory is all there is.
  }
  return found.sort((a, b) => a.order - b.order);
}

addEventListener("storage", (event) => {
  if (event.key === null || event.key.startsWith(keyPrefix)) refresh();
});
linkState.subscribe(() => {
  if (linkState.get() === "live") void flush();
});
