import { Worker } from "node:worker_threads";
import type { EngineTask, EngineWork } from "../../app/bench/engine-room.js";
import { BoardwakeError } from "../../core/base/errors.js";
import type { Engine, WorkOptions } from "./engine.js";
import {
  fromPlainError,
  type OrderMessage,
  type ReplyMessage,
  reasonOf,
  type ThreadStart,
} from "./messages.js";

/** How a thread is started. */
export interface ThreadOptions {
  /** Script that the thread runs; it must answer `OrderMessage`s. */
  readonly script: URL;
  readonly dataFolder: string;
}

interface Waiting {
  readonly ticket: number;
  readonly key: string;
  readonly message: OrderMessage;
  readonly onProgress: WorkOptions["onProgress"];
  resolve(result: unknown): void;
  reject(error: Error): void;
}

/** Work that does not look whether it was cancelled is ended with its thread after this time. */
const patienceMilliseconds = 400;
const mostWaiting = 200;

/**
 * An engine in a thread of its own, started when it is first needed. The thread keeps the boards it has made ready;
 * work that was cancelled and does not stop by itself is ended with the thread, and the next work starts a new one.
 */
export class ThreadEngine implements Engine {
  private readonly options: ThreadOptions;
  private readonly cancelled = new Int32Array(new SharedArrayBuffer(4));
  private readonly queue: Waiting[] = [];
  private running: Waiting | undefined;
  private worker: Worker | undefined;
  private lastTicket = 0;
  private isClosed = false;

  constructor(options: ThreadOptions) {
    this.options = options;
  }

  run<T extends EngineTask>(
    task: T,
    order: EngineWork[T]["order"],
    { key, onProgress }: WorkOptions,
  ): Promise<EngineWork[T]["result"]> {
    if (this.isClosed) return Promise.reject(new BoardwakeError("work-cancelled", {}));
    if (this.queue.length >= mostWaiting)
      return Promise.reject(new BoardwakeError("too-busy", { reason: "too much work is waiting" }));
    this.lastTicket += 1;
    const ticket = this.lastTicket;
    const message = orderMessage(ticket, task, order);
    return new Promise((resolve, reject) => {
      this.queue.push({
        ticket,
        key,
        message,
        onProgress,
        // The thread runs this version of the same code, so what it answers is what the task gives.
        resolve: (result) => resolve(result as EngineWork[T]["result"]),
        reject,
      });
      this.next();
    });
  }

  cancel(key: string): void {
    this.drop(key);
    const { running } = this;
    if (running === undefined || running.key !== key) return;
    Atomics.store(this.cancelled, 0, running.ticket);
    setTimeout(() => {
      if (this.running === running) this.endThread(new BoardwakeError("work-cancelled", {}));
    }, patienceMilliseconds);
  }

  drop(key: string): void {
    for (let i = this.queue.length - 1; i >= 0; i -= 1) {
      const waiting = this.queue[i];
      if (waiting?.key !== key) continue;
      this.queue.splice(i, 1);
      waiting.reject(new BoardwakeError("work-cancelled", {}));
    }
  }

  async close(): Promise<void> {
    this.isClosed = true;
    for (const waiting of this.queue.splice(0)) waiting.reject(new BoardwakeError("work-cancelled", {}));
    const { worker } = this;
    this.endThread(new BoardwakeError("work-cancelled", {}));
    await worker?.terminate();
  }

  private next(): void {
    if (this.running !== undefined || this.isClosed) return;
    const waiting = this.queue.shift();
    if (waiting === undefined) return;
    this.running = waiting;
    this.thread().postMessage(waiting.message);
  }

  private thread(): Worker {
    if (this.worker !== undefined) return this.worker;
    const { script, dataFolder } = this.options;
    const workerData: ThreadStart = { boardwake: "engine", dataFolder, cancelled: this.cancelled };
    const worker = new Worker(script, { workerData });
    worker.unref();
    worker.on("message", (reply: ReplyMessage) => this.hear(reply));
    worker.on("error", (error) =>
      this.lose(worker, new BoardwakeError("internal", { reason: reasonOf(error) })),
    );
    worker.on("exit", () =>
      this.lose(worker, new BoardwakeError("internal", { reason: "the worker ended" })),
    );
    this.worker = worker;
    return worker;
  }

  private hear(reply: ReplyMessage): void {
    const { running } = this;
    if (running === undefined || reply.ticket !== running.ticket) return;
    if (reply.kind === "progress") {
      running.onProgress?.(reply.share, reply.doing);
      return;
    }
    this.running = undefined;
    if (reply.kind === "done") running.resolve(reply.result);
    else running.reject(fromPlainError(reply.error));
    this.next();
  }

  /** The thread has gone by itself: its work is lost, the next work gets a new thread. */
  private lose(worker: Worker, error: Error): void {
    if (this.worker === worker) this.endThread(error);
  }

  private endThread(error: Error): void {
    const { worker, running } = this;
    this.worker = undefined;
    this.running = undefined;
    void worker?.terminate();
    running?.reject(error);
    this.next();
  }
}

function orderMessage<T extends EngineTask>(
  ticket: number,
  task: T,
  order: EngineWork[T]["order"],
): OrderMessage {
  // Task and order belong together, which the compiler does not follow through the union of all tasks.
  return { ticket, task, order } as OrderMessage;
}
