/** The lines of every fenced block of a Markdown text whose info string is exactly `info`, without blank lines. */
export function findCommands(markdown: string, info: string): string[] {
  const commands: string[] = [];
  let inside: string | undefined;
  for (const line of markdown.split("\n")) {
    const fence = /^```(.*)$/.exec(line);
    if (fence !== null) inside = inside === undefined ? (fence[1] ?? "").trim() : undefined;
    else if (inside === info && line.trim() !== "") commands.push(line.trim());
  }
  return commands;
}
