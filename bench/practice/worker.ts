/*
 * Why: games on one board share what the engine has worked out, so one process plays all games of a board, or a fixed
 * share of them. It is told what to play by its first message and sends one message for each game.
 */
import { z } from "zod";
import { type GameRecord, playGames } from "./games.js";
import { loadPrepared } from "./load.js";

/** What a process is told to play. */
export const orderSchema = z.strictObject({
  board: z.string(),
  part: z.number().int(),
  parts: z.number().int(),
  faults: z.number().int(),
  variantFaults: z.number().int(),
  policies: z.array(z.string()),
  played: z.array(z.string()),
  pairLimits: z.strictObject({ candidates: z.number().int(), settle: z.number().int() }),
});
export type Order = z.infer<typeof orderSchema>;

/** One message of a process to the one that started it. */
export interface GameMessage {
  readonly board: string;
  readonly game: GameRecord;
}

function main(order: Order): void {
  const prepared = loadPrepared(order.board);
  for (const game of playGames(prepared, order, order)) {
    const message: GameMessage = { board: order.board, game };
    process.send?.(message);
  }
}

process.once("message", (order: unknown) => {
  main(orderSchema.parse(order));
  // Not from within the message: the channel is still busy with it.
  setImmediate(() => process.disconnect());
});
