import type {
  PracticeAnswer,
  PracticeHint,
  PracticePaths,
  PracticeStep,
  PracticeView,
} from "../app/api/practice.js";
import type { GameOrder } from "../app/bench/bench-game.js";
import { BoardwakeError } from "../core/base/errors.js";
import type { Engine } from "./engine/engine.js";
import type { Hub } from "./hub.js";

/** The board of a game. */
export type GameBoard = Pick<GameOrder, "board" | "source">;

const mostGames = 50;
const mostSteps = 300;

/** The practice games on the bench: what was asked in each, from which the engine can play it again at any time. */
export class GameTable {
  private readonly engine: Engine;
  private readonly hub: Hub;
  private readonly games = new Map<string, GameOrder>();
  private readonly paths = new Map<string, Promise<PracticePaths>>();
  /** Games in which something is being done; what is asked meanwhile waits. */
  private readonly busy = new Map<string, Promise<unknown>>();

  constructor(engine: Engine, hub: Hub) {
    this.engine = engine;
    this.hub = hub;
  }

  async open(id: string, { board, source }: GameBoard, seed: number): Promise<PracticeView> {
    const order: GameOrder = { id, board, source, seed, asked: [], gaveUp: false };
    const view = await this.engine.run("game", order, this.watched(id));
    this.keep(order);
    return view;
  }

  /** Throws `game-unknown`. */
  view(id: string): Promise<PracticeView> {
    return this.inTurn(id, () => this.engine.run("game", this.order(id), this.watched(id)));
  }

  /** Throws `game-unknown`, `game-over`, and `Refusal` for what asks for nothing. */
  ask(id: string, ask: PracticeStep): Promise<PracticeAnswer> {
    return this.inTurn(id, async () => {
      const order = this.order(id);
      if (order.asked.length >= mostSteps)
        throw new BoardwakeError("step-unknown", {
          reason: `${mostSteps} things were asked in this game; give up or start a new one.`,
        });
      const given = await this.engine.run("ask", { ...order, ask }, this.watched(id));
      this.keep({ ...order, asked: [...order.asked, ask] });
      return given;
    });
  }

  /** What the plan would do next. Throws `game-unknown`. */
  hint(id: string): Promise<PracticeHint> {
    return this.inTurn(id, () => this.engine.run("hint", this.order(id), this.watched(id)));
  }

  /** Ends a game without the fault being found. Throws `game-unknown`. */
  giveUp(id: string): Promise<PracticeView> {
    return this.inTurn(id, async () => {
      const order = { ...this.order(id), gaveUp: true };
      const view = await this.engine.run("game", order, this.watched(id));
      this.keep(order);
      return view;
    });
  }

  /** Both ways to the fault; worked out once. Throws `game-unknown`, `game-open`. */
  bothPaths(id: string): Promise<PracticePaths> {
    const order = this.order(id);
    const known = this.paths.get(id);
    if (known !== undefined) return known;
    const paths = this.engine.run("paths", order, this.watched(id));
    this.paths.set(id, paths);
    paths.catch(() => this.paths.delete(id));
    return paths;
  }

  /** Stops what is being worked out for a game; false for an unknown one. */
  cancel(id: string): boolean {
    this.engine.cancel(`game:${id}`);
    return this.games.has(id);
  }

  /** Keeps a game as the one last used; of too many the one longest unused goes. */
  private keep(order: GameOrder): void {
    this.games.delete(order.id);
    this.games.set(order.id, order);
    const oldest = this.games.keys().next();
    if (this.games.size <= mostGames || oldest.done === true) return;
    this.games.delete(oldest.value);
    this.paths.delete(oldest.value);
  }

  private order(id: string): GameOrder {
    const order = this.games.get(id);
    if (order === undefined) throw new BoardwakeError("game-unknown", { game: id });
    return order;
  }

  private watched(id: string): Parameters<Engine["run"]>[2] {
    return {
      key: `game:${id}`,
      onProgress: (share, doing) => this.hub.send({ type: "progress", id, share, doing }),
    };
  }

  private inTurn<T>(id: string, work: () => Promise<T>): Promise<T> {
    const before = this.busy.get(id) ?? Promise.resolve();
    const done = before.then(work, work);
    const settled = done.catch(() => {});
    this.busy.set(id, settled);
    void settled.then(() => {
      if (this.busy.get(id) === settled) this.busy.delete(id);
    });
    return done;
  }
}
