import { existsSync } from "node:fs";
import { join, posix } from "node:path";
import { describe, expect, it } from "vitest";
import { findAnchors, findLinks, findNamedFiles } from "./support/markdown.js";
import { type FileTexts, listFiles, readRepositoryFile, repositoryRoot } from "./support/source-files.js";

const folders = ["docs", "src", "test", "data", "bench", "scripts", "examples"];
const isPage = (path: string): boolean => path.endsWith(".md");
const paths = [
  ...["README.md", "ARCHITECTURE.md", "CONTRIBUTING.md", "CHANGELOG.md"],
  ...folders.flatMap((folder) => listFiles(folder, isPage)),
];
const pages: FileTexts = new Map(paths.map((path) => [path, readRepositoryFile(path)]));
const exists = (path: string): boolean => existsSync(join(repositoryRoot, path));

/** One line for each link that leads nowhere. */
function brokenLinks(texts: FileTexts, isThere: (path: string) => boolean): string[] {
  const broken: string[] = [];
  for (const [path, text] of texts) {
    for (const { target, line } of findLinks(text)) {
      if (/^(https?|mailto):/.test(target)) continue;
      const [file = "", anchor] = target.split("#");
      const place = file === "" ? path : posix.join(posix.dirname(path), file);
      const anchors = anchor === undefined ? undefined : findAnchors(texts.get(place) ?? "");
      const isBroken = !isThere(place) || (anchor !== undefined && anchors?.has(anchor) !== true);
      if (isBroken) broken.push(`${path}:${line}: ${target}`);
    }
  }
  return broken;
}

describe("the documentation", () => {
  it("has no link that leads nowhere", () => {
    expect(brokenLinks(pages, exists)).toEqual([]);
  });

  it("names no file that is not there", () => {
    const named = [...pages].flatMap(([path, text]) =>
      findNamedFiles(text).map(({ target, line }) => ({ place: `${path}:${line}: ${target}`, target })),
    );
    expect(named.length).toBeGreaterThan(20);
    expect(named.filter(({ target }) => !exists(target)).map(({ place }) => place)).toEqual([]);
  });

  it("is reachable from the index, page by page", () => {
    const index = findLinks(readRepositoryFile("docs/README.md")).map(({ target }) =>
      posix.join("docs", target),
    );
    const missing = listFiles("docs", (path) => isPage(path) && path !== "docs/README.md");
    expect(missing.filter((path) => !index.includes(path))).toEqual([]);
  });

  it("names a guard for every invariant", () => {
    const text = readRepositoryFile("ARCHITECTURE.md").split("## Invariants")[1]?.split("\n## ")[0] ?? "";
    const invariants = text.split(/\n(?=\d+\. )/).slice(1);
    expect(invariants.length).toBeGreaterThanOrEqual(10);
    expect(invariants.map((line, i) => line.startsWith(`${i + 1}. `))).not.toContain(false);
    expect(invariants.filter((line) => findNamedFiles(line).length === 0)).toEqual([]);
  });
});

describe("the check of links", () => {
  it("finds a missing file and a missing heading, and skips code", () => {
    const text =
      "# Top\n[a](b.md) [c](gone.md)\n[d](#top) [e](#gone) [f](b.md#part-one) [g](b.md#part-two)\n`[h](gone.md)`";
    const planted = new Map([
      ["docs/a.md", `${text}\n\`\`\`text\n[i](gone.md)\n\`\`\`\n[j](../README.md) [k](https://example.org)`],
      ["docs/b.md", "## Part *one*"],
    ]);
    expect(brokenLinks(planted, (path) => path === "README.md" || planted.has(path))).toEqual([
      "docs/a.md:2: gone.md",
      "docs/a.md:3: #gone",
      "docs/a.md:3: b.md#part-two",
    ]);
  });

  it("finds file names in back quotes", () => {
    expect(findNamedFiles("see `src/a/b.ts`,\n`data/<id>.json`, `src/a` and `tsconfig.core.json`")).toEqual([
      { target: "src/a/b.ts", line: 1 },
      { target: "tsconfig.core.json", line: 2 },
    ]);
  });
});
