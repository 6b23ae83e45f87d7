import { describe, expect, it } from "vitest";
import { readPageFiles } from "../bench/support/page-files.js";

// What a tablet on a weak wireless link still opens at once.
const mostSentBytes = 300_000;

describe("the built page", () => {
  it("is sent in less than 300 kB, all of it", () => {
    const files = readPageFiles();
    expect(files.map((file) => file.address)).toContain("/index.html");
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
