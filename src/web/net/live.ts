import { type StreamEvent, streamEventSchema } from "../../app/api/stream.js";
import { createStore, type Store } from "../state/store.js";
import { api } from "./api.js";
import { streamAddress } from "./request.js";

/** Whether the page hears of what happens elsewhere. */
export type LinkState = "connecting" | "live" | "lost";

/** State of the link to the program. */
export const linkState: Store<LinkState> = createStore<LinkState>("connecting");

type Listener = (event: StreamEvent) => void;

const listeners = new Set<Listener>();
const retryMilliseconds = 1500;
const quietMilliseconds = 12_000;

let source: EventSource | undefined;
let retry: ReturnType<typeof setTimeout> | undefined;
let lastHeard = 0;

/** Hears every event of the stream; returns what ends that. */
export function onStreamEvent(listener: Listener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Opens the stream and keeps it open. Called once at start, and again after pairing. */
export function connect(): void {
  clearTimeout(retry);
  source?.close();
  const opened = new EventSource(streamAddress);
  source = opened;
  opened.onopen = heard;
  opened.onmessage = (message: MessageEvent<string>) => {
    heard();
    const event = parseEvent(message.data);
    if (event !== undefined) for (const listener of listeners) listener(event);
  };
  opened.onerror = () => {
    if (source !== opened) return;
    lose();
  };
}

function heard(): void {
  lastHeard = performance.now();
  linkState.set("live");
}

function lose(): void {
  linkState.set("lost");
  source?.close();
  clearTimeout(retry);
  retry = setTimeout(connect, retryMilliseconds);
}

function parseEvent(text: string): StreamEvent | undefined {
  try {
    const parsed = streamEventSchema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : undefined;
  } catch {
    return undefined;
  }
}

/** Asks whether the program is there; a stream that died without a word is found out so. */
async function probe(): Promise<void> {
  try {
    await api.status();
    lastHeard = performance.now();
    if (linkState.get() === "lost") connect();
  } catch {
    if (linkState.get() === "live") lose();
  }
}

// The browser's own notion of being online says nothing about a program on the same machine: it only says when to ask.
addEventListener("offline", () => void probe());
addEventListener("online", () => connect());
setInterval(() => {
  const quiet = performance.now() - lastHeard > quietMilliseconds;
  if (linkState.get() === "live" && quiet && document.visibilityState === "visible") void probe();
}, 4000);
