/** Has the browser save some bytes as a file. */
export function saveFile(name: string, parts: readonly (Uint8Array | string)[], type: string): void {
  // Copies, because a blob does not take views of shared memory, which the type of an array could be.
  const pieces = parts.map((part) => (typeof part === "string" ? part : new Uint8Array(part)));
  const address = URL.createObjectURL(new Blob(pieces, { type }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** The name of a file without what follows its last full stop. */
export function stemOf(name: string): string {
  return name.replace(/\.[^.]+$/, "") || name;
}
