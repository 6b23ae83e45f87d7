import { describe, expect, it } from "vitest";
import { readPageFiles } from "../bench/support/page-files.js";

// What a tablet on a weak wireless link still opens at once.
const mostSentBytes = 300_000;

describe("the built page", () => {
  it("sends less than 300 kB for its first page, and its code and type are among that", () => {
    const files = readPageFiles().filter((file) => file.isFirst);
    expect(files.map((file) => file.address)).toContain("/index.html");
    expect(files.filter(({ address }) => /\/index-[^/]+\.js$/.test(address))).toHaveLength(1);
    expect(files.some(({ address }) => address.endsWith(".woff2"))).toBe(true);
    expect(files.reduce((sum, file) => sum + file.sentBytes, 0)).toBeLessThan(mostSentBytes);
  });

  it("loads nothing from elsewhere, and runs nothing that stands inside it", () => {
    const html =
      readPageFiles()
        .find((file) => file.address === "/index.html")
        ?.bytes.toString("utf8") ?? "";
    expect(html).not.toMatch(/(?:src|href)="(?!\/|\.\/|#)/);
    expect(html).not.toMatch(/<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=/);
  });
});
