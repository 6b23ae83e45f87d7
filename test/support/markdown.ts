/** A link of a Markdown text: where it leads and on which line it stands; the first line is 1. */
export interface MarkdownLink {
  readonly target: string;
  readonly line: number;
}

/** The lines of a Markdown text with fenced blocks emptied, so that code is not taken for prose. */
export function proseLines(markdown: string): string[] {
  let inside = false;
  return markdown.split("\n").map((line) => {
    const isFence = /^\s*```/.test(line);
    const isProse = !inside && !isFence;
    if (isFence) inside = !inside;
    return isProse ? line : "";
  });
}

/** Every `[text](target)` and `![text](target)` outside code, in order. */
export function findLinks(markdown: string): MarkdownLink[] {
  return proseLines(markdown).flatMap((line, i) => {
    const prose = line.replaceAll(/`[^`]*`/g, "``");
    return [...prose.matchAll(/\]\(([^()\s]+)\)/g)].map((match) => ({ target: match[1] ?? "", line: i + 1 }));
  });
}

/** Anchors of a Markdown text's headings, as the common hosts of repositories make them. */
export function findAnchors(markdown: string): Set<string> {
  const anchors = new Set<string>();
  for (const line of proseLines(markdown)) {
    const heading = /^#{1,6}\s+(.+)$/.exec(line)?.[1];
    if (heading === undefined) continue;
    const plain = heading.replaceAll(/\[([^\]]*)\]\([^)]*\)/g, "$1").toLowerCase();
    anchors.add(
      plain
        .replaceAll(/[^\p{L}\p{N}\s_-]/gu, "")
        .trim()
        .replaceAll(/\s/g, "-"),
    );
  }
  return anchors;
}

/** Names in back quotes that are paths of files of the repository (with an extension), each with its line. */
export function findNamedFiles(markdown: string): MarkdownLink[] {
  return proseLines(markdown).flatMap((line, i) =>
    [
      ...line.matchAll(/`((?:src|test|docs|scripts|data|bench|\.ci)\/[\w./-]+\.\w+|tsconfig[\w.]*\.json)`/g),
    ].map((match) => ({
      target: match[1] ?? "",
      line: i + 1,
    })),
  );
}
