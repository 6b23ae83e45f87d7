import type { MessagePort } from "node:worker_threads";
import type { EngineRoom, EngineTask, EngineWork } from "../../app/bench/engine-room.js";
import { type OrderMessage, type ReplyMessage, toPlainError } from "./messages.js";

/** Answers the orders that come through a port; the other end is a `ThreadEngine`. */
export function serveEngine(port: MessagePort, room: EngineRoom, cancelled: Int32Array): void {
  const say = (reply: ReplyMessage): void => port.postMessage(reply);
  port.on("message", (message: OrderMessage) => {
    const { ticket } = message;
    try {
      const result = perform(room, message, {
        progress: (share, doing) => say({ kind: "progress", ticket, share, doing }),
        isCancelled: () => Atomics.load(cancelled, 0) === ticket,
      });
      say({ kind: "done", ticket, result });
    } catch (error) {
      say({ kind: "failed", ticket, error: toPlainError(error) });
    }
  });
}

function perform<T extends EngineTask>(
  room: EngineRoom,
  { task, order }: { readonly task: T; readonly order: EngineWork[T]["order"] },
  watch: Parameters<EngineRoom["perform"]>[2],
): unknown {
  return room.perform(task, order, watch);
}
