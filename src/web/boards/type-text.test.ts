import { describe, expect, it } from "vitest";
import { readTyped, typedOf } from "./type-text.js";

const typed = {
  ...typedOf(undefined),
  type: "ULA-3",
  title: "custom chip",
  pins: "1 A in\n2 Y out\n\n7 GND ground\n14 VCC power\n",
};

describe("a part type as it is typed", () => {
  it("becomes a type with the cautious rule where no behaviour is given", () => {
    const read = readTyped(typed, undefined);
    expect(read).toMatchObject({
      type: {
        type: "ULA-3",
        behaviour: { kind: "cautious" },
        pins: [{ number: "1", name: "A", kind: "in" }, { number: "2" }, { number: "7" }, { number: "14" }],
        rails: [{ pin: "VCC", nominalVolt: 5, minimumVolt: 4.75, maximumVolt: 5.25 }],
      },
    });
    if (!("type" in read)) throw new Error("it was refused");
    expect(readTyped(typedOf(read.type), read.type)).toEqual(read);
  });

  it("is refused with the line that is wrong", () => {
    expect(readTyped({ ...typed, pins: "1 A in\n2 Y outward" }, undefined)).toMatchObject({
      where: "Pins, line 2",
    });
    expect(readTyped({ ...typed, rails: "VCC five" }, undefined)).toMatchObject({ where: "Supply, line 1" });
    expect(readTyped({ ...typed, behaviour: "{" }, undefined)).toMatchObject({ where: "Behaviour" });
    expect(readTyped({ ...typed, type: " " }, undefined)).toMatchObject({ where: "type" });
  });
});
