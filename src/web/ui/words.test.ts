import { describe, expect, it } from "vitest";
import { minutesText, momentText } from "./words.js";

describe("words", () => {
  it.each([
    [0, "0 min"],
    [0.2, "10 s"],
    [0.8, "50 s"],
    [1, "1 min"],
    [59.4, "59 min"],
    [60, "1 h"],
    [127, "2 h 7 min"],
  ])("say %d minutes as %s", (minutes, text) => {
    expect(minutesText(minutes)).toBe(text);
  });

  it("say the day of a moment only if it is not today", () => {
    const now = new Date(2026, 2, 1, 12, 0);
    expect(momentText(new Date(2026, 2, 1, 9, 5).toISOString(), now)).toBe("09:05");
    expect(momentText(new Date(2026, 1, 27, 9, 5).toISOString(), now)).toBe("2026-02-27, 09:05");
    expect(momentText("whenever", now)).toBe("whenever");
  });
});
