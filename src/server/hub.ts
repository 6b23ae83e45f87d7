import type { StreamEvent } from "../app/api/stream.js";
import { BoardwakeError } from "../core/base/errors.js";

/** Somebody who listens to the stream. */
export interface Listener {
  /** Only findings and progress of this job or game are wanted; of all if undefined. */
  readonly about: string | undefined;
  send(text: string): void;
  /** Bytes that were sent and have not left yet. */
  waitingBytes(): number;
  end(): void;
}

const mostListeners = 64;
const mostWaitingBytes = 4_000_000;

/** Passes events on to everybody who listens. */
export class Hub {
  private readonly listeners = new Set<Listener>();
  private lastId = 0;

  get size(): number {
    return this.listeners.size;
  }

  /** Throws `too-busy` if there are too many already. */
  join(listener: Listener): void {
    if (this.listeners.size >= mostListeners)
      throw new BoardwakeError("too-busy", { reason: `${mostListeners} pages listen already` });
    this.listeners.add(listener);
  }

  leave(listener: Listener): void {
    this.listeners.delete(listener);
  }

  /** Sends an event to all whom it concerns; who does not keep up is let go and comes back by itself. */
  send(event: StreamEvent): void {
    this.lastId += 1;
    const text = eventText(event, this.lastId);
    const isHeavy = event.type === "findings" || event.type === "progress";
    for (const listener of this.listeners) {
      if (isHeavy && listener.about !== undefined && listener.about !== event.id) continue;
      if (listener.waitingBytes() > mostWaitingBytes) this.letGo(listener);
      else listener.send(text);
    }
  }

  /** Keeps connections open through whatever stands between. */
  beat(): void {
    for (const listener of this.listeners) listener.send(": still here\n\n");
  }

  close(): void {
    for (const listener of this.listeners) this.letGo(listener);
  }

  private letGo(listener: Listener): void {
    this.listeners.delete(listener);
    listener.end();
  }
}

/** An event as the stream carries it. */
export function eventText(event: StreamEvent, id: number): string {
  return `id: ${id}\ndata: ${JSON.stringify(event)}\n\n`;
}
