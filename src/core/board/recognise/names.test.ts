import { describe, expect, it } from "vitest";
import { globMatches } from "./glob.js";
import { readableNetName, readableNetNames } from "./net-names.js";
import { readFarad, readHertz, readVolt } from "./values.js";

describe("name patterns", () => {
  it.each([
    ["C", "C", true],
    ["C", "CP", false],
    ["C_*", "c_polarized", true],
    ["*", "", true],
    ["Conn_##x##*", "Conn_02x20_Odd_Even", true],
    ["Conn_##x##*", "Conn_2x20", false],
    ["*a*b*", "xxaxxbx", true],
    ["*a*b", "xxaxxbx", false],
    ["#", "", false],
    ["a.c", "abc", false],
  ])("%s and %s: %s", (pattern, text, expected) => {
    expect(globMatches(pattern, text)).toBe(expected);
  });

  it("does not run away on many stars", () => {
    expect(globMatches(`${"*a".repeat(25)}b`, "a".repeat(5000))).toBe(false);
  });
});

describe("names of nets", () => {
  it.each([
    ["/A0", "A0"],
    ["/~IORQ", "/IORQ"],
    ["/~{CAS}", "/CAS"],
    ["/R~{W}", "R/W"],
    ["R/~W", "R/W"],
    ["~CS~EN", "/CSEN"],
    ["/video/~{SYNC}", "video/SYNC"],
    ["Net-(C22-Pad2)", "Net-(C22-Pad2)"],
    ["+5V", "+5V"],
    ["~", "~"],
    ["/", "/"],
  ])("%s reads %s", (raw, expected) => {
    expect(readableNetName(raw)).toBe(expected);
  });

  it("stay apart where their readable forms would meet, and short enough", () => {
    const long = "x".repeat(200);
    const names = readableNetNames(["/A", "A", "B", "/~B", `${long}1`, `${long}2`]);
    expect([...names.values()].slice(0, 4)).toEqual(["A", "A~2", "B", "/B"]);
    expect(new Set(names.values()).size).toBe(6);
    expect(Math.max(...[...names.values()].map((name) => name.length))).toBe(120);
  });
});

describe("printed values", () => {
  it.each([
    ["100n", 1e-7],
    ["0.1u", 1e-7],
    ["22P", 22e-12],
    ["4n7", 4.7e-9],
    ["470uF", 4.7e-4],
    ["10\u00b5/16V", 1e-5],
    ["4k7", undefined],
    ["CAP", undefined],
    ["", undefined],
  ])("%s is %s F", (printed, expected) => {
    const found = readFarad(printed);
    if (expected === undefined) expect(found).toBeUndefined();
    else expect(found).toBeCloseTo(expected, 15);
  });

  it.each([
    ["10MHz", 1e7],
    ["1.8432 MHz", 1.8432e6],
    ["10.738635MHZ", 10.738635e6],
    ["32.768k", 32768],
    ["CXO_DIP14", undefined],
    ["0", undefined],
  ])("%s is %s Hz", (printed, expected) => {
    const found = readHertz(printed);
    if (expected === undefined) expect(found).toBeUndefined();
    else expect(found).toBeCloseTo(expected, 3);
  });

  it.each([
    ["+5V", 5],
    ["-12V", -12],
    ["3V3", 3.3],
    ["+12", 12],
    ["3.3V", 3.3],
    ["12", undefined],
    ["VCC", undefined],
    ["A5V1", undefined],
  ])("%s is %s V", (name, expected) => {
    expect(readVolt(name)).toBe(expected);
  });
});
