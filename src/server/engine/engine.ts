import type { EngineTask, EngineWork } from "../../app/bench/engine-room.js";

/** How a piece of work is called and watched. */
export interface WorkOptions {
  /** Name under which it can be cancelled or dropped. */
  readonly key: string;
  /** Told how far it has come. */
  readonly onProgress?: (share: number, doing: string) => void;
}

/** Does heavy work one piece at a time, in the order it came, out of the way of whoever asks. */
export interface Engine {
  /** Rejects with `work-cancelled` if it was cancelled or dropped, and with what the work threw. */
  run<T extends EngineTask>(
    task: T,
    order: EngineWork[T]["order"],
    options: WorkOptions,
  ): Promise<EngineWork[T]["result"]>;
  /** Stops all work of that name, also if it is running. */
  cancel(key: string): void;
  /** Stops work of that name that has not begun. */
  drop(key: string): void;
  /** Ends everything; what still waits is rejected. */
  close(): Promise<void>;
}
