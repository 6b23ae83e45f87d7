import { describe, expect, it } from "vitest";
import { createRandom } from "../../src/core/base/random.js";
import type { Board, BoardPart } from "../../src/core/board/board.js";
import { checkBoard, unexplainedFindings } from "../../src/core/board/check/check-board.js";
import type { RuleId } from "../../src/core/board/check/finding.js";
import type { PinKind } from "../../src/core/board/part-type.js";
import { parseBoardFile } from "../../src/core/board/read/board-file.js";
import { readPartLibrary } from "../support/part-types.js";
import { readFiles } from "../support/source-files.js";

/*
 * A check that finds nothing on a sound board proves little; here each kind of flaw is put into the demonstration boards
 * at many places, and the rule made for it must find it there.
 */

const library = readPartLibrary();
const boards = [...readFiles("data/boards", (path) => path.endsWith(".json"))].map(([file, text]) => {
  const { value, problems } = parseBoardFile(text, library, { file });
  if (value === undefined) throw new Error(JSON.stringify(problems));
  return value;
});

interface Pin {
  readonly part: BoardPart;
  readonly number: string;
  readonly kind: PinKind;
  readonly net: string;
}

function connectedPins(board: Board, ...kinds: readonly PinKind[]): Pin[] {
  return board.parts.flatMap((part) => {
    const pins = library.get(part.type)?.pins ?? [];
    if (pins === "as-board") return [];
    return pins.flatMap(({ number, kind }): Pin[] => {
      const net = part.pins[number];
      return net !== undefined && kinds.includes(kind) ? [{ part, number, kind, net }] : [];
    });
  });
}

/** The board with one pin put on another net, or left open. */
function rewire(board: Board, { part, number }: Pin, net: string | undefined): Board {
  const { [number]: _, ...others } = part.pins;
  const pins = net === undefined ? others : { ...others, [number]: net };
  return { ...board, parts: board.parts.map((other) => (other === part ? { ...part, pins } : other)) };
}

/** Up to 40 of the items, drawn without order but always the same. */
function sample<T>(items: readonly T[]): T[] {
  const random = createRandom(1975);
  const left = [...items];
  const drawn: T[] = [];
  while (left.length > 0 && drawn.length < 40) drawn.push(...left.splice(random.below(left.length), 1));
  return drawn;
}

function finds(board: Board, rule: RuleId, at: string): boolean {
  return unexplainedFindings(checkBoard(board, library)).some(
    (finding) => finding.rule === rule && finding.at === at,
  );
}

describe.each(boards)("the board $id", (board) => {
  const place = ({ part, number }: Pin): string => `${part.ref}.${number}`;
  const missed = (
    pins: readonly Pin[],
    change: (pin: Pin) => Board,
    rule: RuleId,
    at: (pin: Pin) => string = place,
  ): string[] =>
    sample(pins)
      .filter((pin) => !finds(change(pin), rule, at(pin)))
      .map(place);

  it("is sound as it is", () => {
    expect(unexplainedFindings(checkBoard(board, library))).toEqual([]);
  });

  it("shows a supply pin that comes loose", () => {
    const pins = connectedPins(board, "power", "ground").filter(
      ({ part }) => library.get(part.type)?.behaviour.kind === "logic",
    );
    expect(pins.length).toBeGreaterThan(20);
    expect(missed(pins, (pin) => rewire(board, pin, undefined), "unconnected-supply")).toEqual([]);
  });

  it("shows supply and ground exchanged", () => {
    const rail = board.rails[0]?.net ?? "";
    expect(missed(connectedPins(board, "ground"), (pin) => rewire(board, pin, rail), "wrong-rail")).toEqual(
      [],
    );
    const power = connectedPins(board, "power").filter(
      ({ part }) => library.get(part.type)?.technology === "ls-ttl",
    );
    expect(missed(power, (pin) => rewire(board, pin, board.ground), "wrong-rail")).toEqual([]);
  });

  it("shows an input that comes loose", () => {
    const inputs = connectedPins(board, "in");
    expect(inputs.length).toBeGreaterThan(100);
    expect(missed(inputs, (pin) => rewire(board, pin, undefined), "open-input")).toEqual([]);
  });

  it("shows two outputs tied together", () => {
    const outputs = connectedPins(board, "out").filter(
      ({ part }) => library.get(part.type)?.behaviour.kind === "logic",
    );
    const target = outputs[0]?.net ?? "";
    const others = outputs.filter(({ net }) => net !== target);
    expect(others.length).toBeGreaterThan(20);
    expect(
      missed(
        others,
        (pin) => rewire(board, pin, target),
        "fighting-outputs",
        () => target,
      ),
    ).toEqual([]);
  });

  it("shows inputs whose only driver comes loose", () => {
    const pinsOn = (net: string): string[] =>
      board.parts.flatMap((part) =>
        Object.entries(part.pins)
          .filter(([, on]) => on === net)
          .map(([number]) => `${part.ref}.${number}`),
      );
    const listeners = new Map(connectedPins(board, "in").map(({ net }) => [net, true]));
    const inputsOf = (net: string): number =>
      connectedPins(board, "in").filter((pin) => pin.net === net).length;
    // Only nets of one output and inputs: passive parts may bring a level from elsewhere.
    const lone = connectedPins(board, "out").filter(
      ({ net }) => listeners.has(net) && pinsOn(net).length === inputsOf(net) + 1,
    );
    expect(lone.length).toBeGreaterThan(20);
    expect(
      missed(
        lone,
        (pin) => rewire(board, pin, undefined),
        "undriven-input",
        ({ net }) => net,
      ),
    ).toEqual([]);
  });

  it("shows capacitors that were left out", () => {
    const withoutCapacitors = {
      ...board,
      parts: board.parts.filter((part) => !part.type.startsWith("capacitor")),
    };
    const chips = connectedPins(board, "power").filter(
      ({ part }) => library.get(part.type)?.technology === "ls-ttl",
    );
    const findings = unexplainedFindings(checkBoard(withoutCapacitors, library)).filter(
      ({ rule }) => rule === "missing-decoupling",
    );
    expect(chips.filter((pin) => !findings.some(({ at }) => at === place(pin)))).toEqual([]);
  });

  it("shows pull-ups that were left out", () => {
    const withoutResistors = {
      ...board,
      parts: board.parts.filter((part) => !part.type.startsWith("resistor")),
    };
    const before = checkBoard(board, library).filter(({ rule }) => rule === "missing-pull-up").length;
    const after = checkBoard(withoutResistors, library).filter(
      ({ rule }) => rule === "missing-pull-up",
    ).length;
    expect(after).toBeGreaterThan(before);
  });
});
