import { describe, expect, it } from "vitest";
import { preparedBoard, preparedTinyBoard } from "../../../../test/support/prepared-board.js";
import { blindnessOf, blindnessSentence, namesInShort } from "./blindness.js";

describe("blindness", () => {
  it("is none where every chip's function is known", () => {
    const found = blindnessOf(preparedBoard("pellow-16").circuit);
    expect([found.unknown, found.nets]).toEqual([[], 0]);
    expect(found.drivenNets).toBeGreaterThan(100);
    expect(blindnessSentence(found)).toBeUndefined();
  });

  it("counts unknown chips and the nets that come from them alone", () => {
    const { circuit } = preparedTinyBoard(
      "J1:connector 1=A 2=B; U1:16V8 2=A 3=B 10=GND 19=Y 20=+5V; U2:74LS04 1=Y 2=Z 3=A 4=X 7=GND 14=+5V",
      { steady: { A: "low", B: "high" } },
    );
    const found = blindnessOf(circuit);
    expect(found).toMatchObject({ unknown: ["U1"], chips: 2, nets: 1 });
    expect(blindnessSentence(found)).toMatch(
      /^1 of 2 chips is of unknown function \(U1\): 1 of \d signal nets/,
    );
  });

  it("names six and counts the rest", () => {
    expect(namesInShort(["a", "b"])).toBe("a, b");
    expect(namesInShort(["1", "2", "3", "4", "5", "6", "7", "8"])).toBe("1, 2, 3, 4, 5, 6 and 2 more");
  });
});
