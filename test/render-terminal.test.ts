import { describe, expect, it } from "vitest";
import { renderTerminal } from "../scripts/render-terminal.js";

/** The text elements of a picture, each as `classes|x|text`. */
function pieces(text: string): string[] {
  const picture = renderTerminal(text, "t");
  return [...picture.matchAll(/<text(?: class="([^"]*)")? x="([\d.]+)"[^>]*>([^<]*)</g)].map(
    ([, classes = "", x, content]) => `${classes}|${x}|${content}`,
  );
}

describe("renderTerminal", () => {
  it("sets plain text, one element a line", () => {
    expect(pieces("ab\n\ncd\n")).toEqual(["|14|ab", "|14|cd"]);
  });

  it("follows looks across runs and lines, and places each run in its column", () => {
    expect(pieces("a\u001b[31mb\u001b[39mc\u001b[1md\ne\u001b[0mf")).toEqual([
      "|14|a",
      "c1|22.4|b",
      "|30.8|c",
      "bold|39.2|d",
      "bold|14|e",
      "|22.4|f",
    ]);
  });

  it("draws inverse text on a bar and bright colours in bold", () => {
    const picture = renderTerminal("\u001b[7;32mok\u001b[0m \u001b[91mno", "t");
    expect(picture).toContain('<rect class="b2" x="14" y="14" width="16.8" height="19"/>');
    expect(picture).toContain('<text class="on" x="14"');
    expect(picture).toContain('<text class="c1 bold" x="39.2"');
  });

  it("escapes what the format gives a meaning, and drops other control sequences", () => {
    expect(pieces("\u001b[2K\u001b[?25la < b & c\u0007")).toEqual(["|14|a &lt; b &amp; c"]);
    expect(renderTerminal("x", "<title>")).toContain("<title>&lt;title&gt;</title>");
  });

  it("grows with the text", () => {
    expect(renderTerminal("x".repeat(100), "t")).toContain('width="868" height="47"');
    expect(renderTerminal("x\n".repeat(10), "t")).toContain('width="196" height="218"');
  });
});
