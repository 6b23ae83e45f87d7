import { BoardwakeError } from "../../core/base/errors.js";
import { nearestName } from "../../core/base/nearest.js";
import type { PartType } from "../../core/board/part-type.js";
import { partTypeFlaws } from "../../core/board/part-type-flaws.js";
import { boardFlaws } from "../../core/board/read/board-semantics.js";
import { renderPath } from "../../core/board/read/json-places.js";
import type { JobStore } from "../../store/jobs/job-store.js";
import type { Store } from "../../store/store.js";
import type { TypeDetail, TypeSummary } from "../api/own-types.js";
import type { BenchBoards } from "../jobs/bench-boards.js";
import { Refusal } from "../jobs/refusal.js";
import { renderOwnTypes } from "../own-types.js";
import { typesWith } from "./board-source.js";

/** Part types of one's own: added, corrected, given to others. */
export class TypeKeeper {
  private readonly store: Store;
  private readonly jobs: JobStore;
  private readonly boards: BenchBoards;
  private readonly now: () => string;

  /** `now` gives the moment as ISO 8601 in UTC. */
  constructor(store: Store, jobs: JobStore, boards: BenchBoards, now: () => string) {
    this.store = store;
    this.jobs = jobs;
    this.boards = boards;
    this.now = now;
  }

  /** All part types by name: those that came with the program, and those of one's own. */
  list(): TypeSummary[] {
    const library = this.library();
    const own = this.own();
    return [...library.names()].sort().flatMap((name) => {
      const type = library.get(name);
      if (type === undefined) return [];
      return [{ type: name, title: type.title, package: type.package, own: own.has(name) }];
    });
  }

  /** Throws `type-unknown`, with the nearest name. */
  get(name: string): TypeDetail {
    const type = this.library().get(name);
    if (type === undefined) throw this.unknown(name);
    return { type, own: this.own().has(name) };
  }

  /**
   * Adds a type, or puts it in the place of the one of its name; on the disk when this returns. Throws `Refusal` for a
   * type that contradicts itself, or with which a board that uses it would make no sense.
   */
  set(type: PartType): void {
    const [flaw] = partTypeFlaws(type);
    if (flaw !== undefined)
      throw refusal(flaw.code, `${type.type}: ${flaw.message}`, renderPath(["type", ...flaw.path]));
    this.checkBoards(type);
    this.jobs.shelf.setType({ name: type.type, at: this.now(), text: JSON.stringify(type) });
  }

  /** Takes a type of one's own away; the installed one of its name counts again. Throws `type-unknown`, and `Refusal` while a board needs it. */
  remove(name: string): void {
    if (!this.own().has(name)) throw this.unknown(name);
    if (this.store.data.partLibrary().get(name) === undefined) {
      const user = this.boards.ids().find((id) => this.uses(id, name));
      if (user !== undefined)
        throw refusal(
          "type-in-use",
          `The board '${user}' needs the type '${name}', so it was not taken away.`,
          "name",
        );
    }
    this.jobs.shelf.setType({ name, at: this.now(), text: "" });
  }

  /** Text of a file of all types of one's own, to be given to others. */
  file(): string {
    return renderOwnTypes(this.boards.ownTypes().list);
  }

  private library() {
    return typesWith(this.store.data.partLibrary(), this.boards.ownTypes().list);
  }

  private own(): ReadonlySet<string> {
    return new Set(this.boards.ownTypes().list.map(({ type }) => type));
  }

  private uses(id: string, name: string): boolean {
    return this.boards.get(id).board.parts.some(({ type }) => type === name);
  }

  private checkBoards(type: PartType): void {
    for (const id of this.boards.ids().filter((one) => this.uses(one, type.type))) {
      const { board, types } = this.boards.get(id);
      const flaw = boardFlaws(board, typesWith(types, [type])).find(({ severity }) => severity === "error");
      if (flaw !== undefined)
        throw refusal(
          "type-unfit",
          `With this type the board '${id}' makes no sense: ${flaw.message}`,
          "type.pins",
        );
    }
  }

  private unknown(name: string): BoardwakeError {
    const near = nearestName(name, this.library().names());
    const hint = near === undefined ? "" : ` Did you mean '${near}'?`;
    return new BoardwakeError("type-unknown", { type: name, hint });
  }
}

function refusal(code: string, message: string, field: string): Refusal {
  return new Refusal({ code, severity: "error", message, where: { field } });
}
