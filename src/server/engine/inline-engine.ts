import type { EngineRoom, EngineTask, EngineWork } from "../../app/bench/engine-room.js";
import { BoardwakeError } from "../../core/base/errors.js";
import type { Engine, WorkOptions } from "./engine.js";

/** An engine in the thread that asks: for scripts and tests, where nobody waits. */
export class InlineEngine implements Engine {
  private readonly room: EngineRoom;
  private readonly stopped = new Set<string>();
  private readonly waiting = new Map<string, number>();
  private last: Promise<unknown> = Promise.resolve();

  constructor(room: EngineRoom) {
    this.room = room;
  }

  run<T extends EngineTask>(
    task: T,
    order: EngineWork[T]["order"],
    { key, onProgress }: WorkOptions,
  ): Promise<EngineWork[T]["result"]> {
    this.waiting.set(key, (this.waiting.get(key) ?? 0) + 1);
    const done = this.last.then(() => {
      // Lets whoever asked go on first, as another thread would.
      return new Promise<EngineWork[T]["result"]>((resolve, reject) => {
        setImmediate(() => {
          try {
            if (this.stopped.has(key)) throw new BoardwakeError("work-cancelled", {});
            const watch = {
              progress: (share: number, doing: string) => onProgress?.(share, doing),
              isCancelled: () => this.stopped.has(key),
            };
            resolve(this.room.perform(task, order, watch));
          } catch (error) {
            reject(error);
          } finally {
            this.leave(key);
          }
        });
      });
    });
    this.last = done.catch(() => {});
    return done;
  }

  cancel(key: string): void {
    if (this.waiting.has(key)) this.stopped.add(key);
  }

  drop(key: string): void {
    this.cancel(key);
  }

  async close(): Promise<void> {
    for (const key of this.waiting.keys()) this.cancel(key);
    await this.last;
  }

  private leave(key: string): void {
    const left = (this.waiting.get(key) ?? 1) - 1;
    if (left > 0) this.waiting.set(key, left);
    else {
      this.waiting.delete(key);
      this.stopped.delete(key);
    }
  }
}
