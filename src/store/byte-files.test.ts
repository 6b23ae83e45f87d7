import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openByteFile, writeByteFile } from "./byte-files.js";

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-bytes-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

async function* failing(): AsyncGenerator<Uint8Array> {
  yield Uint8Array.of(1, 2);
  throw new RangeError("no more");
}

describe("a file of bytes", () => {
  it("comes back in pieces as it was written", async () => {
    const path = join(folder, "a.bin");
    const bytes = Uint8Array.from({ length: 200_000 }, (_, i) => i % 251);
    await writeByteFile(path, [bytes.subarray(0, 7), bytes.subarray(7)]);
    const stream = openByteFile(path);
    const pieces: Uint8Array[] = [];
    for await (const piece of stream.chunks) pieces.push(piece);
    expect(stream.sizeBytes).toBe(bytes.length);
    expect(pieces.length).toBeGreaterThan(1);
    expect(Buffer.compare(Buffer.concat(pieces), bytes)).toBe(0);
  });

  it("replaces an older one only when it is complete", async () => {
    const path = join(folder, "a.bin");
    writeFileSync(path, "old");
    await expect(writeByteFile(path, failing())).rejects.toThrow("no more");
    expect(readFileSync(path, "utf8")).toBe("old");
    expect(readdirSync(folder)).toEqual(["a.bin"]);
  });

  it("is refused with a sentence where it cannot be", async () => {
    expect(() => openByteFile(join(folder, "gone"))).toThrow(/gone: there is no such file/);
    expect(() => openByteFile(folder)).toThrow(/it is a folder/);
    await expect(writeByteFile(join(folder, "no", "a.bin"), [])).rejects.toThrow(/no such file or folder/);
  });
});
