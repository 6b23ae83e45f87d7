import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { BoardwakeError } from "../core/base/errors.js";
import { openInstalledData } from "./installed-data.js";
import { installedDataFolder, openStore } from "./store.js";
import { readTextFile } from "./text-file.js";
import { diskFiles } from "./user-files.js";

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-store-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function failure(act: () => unknown): { code: string; message: string } {
  try {
    act();
  } catch (error) {
    if (error instanceof BoardwakeError) return { code: error.code, message: error.message };
    throw error;
  }
  throw new Error("nothing was thrown");
}

describe("reading a text file", () => {
  it("gives its text without a byte order mark, and its name", () => {
    const path = join(folder, "a.json");
    writeFileSync(path, '\ufeff{"é": 1}');
    expect(readTextFile(path, 100)).toEqual({ file: path, text: '{"é": 1}' });
  });

  it("reads up to its limit and not one byte more", () => {
    const path = join(folder, "a.json");
    writeFileSync(path, "12345");
    expect(readTextFile(path, 5).text).toBe("12345");
    expect(failure(() => readTextFile(path, 4)).code).toBe("file-unreadable");
  });

  it.each([
    ["a file that is not there", "gone.json", /gone\.json: there is no such file or folder\.$/],
    ["a folder", ".", /it is a folder\.$/],
    ["bytes that are no text", "bytes", /it is no text in UTF-8\.$/],
    ["a path through a file", "bytes/x", /a part of the path is no folder\.$/],
    ["a name with a zero byte", "a\0b", /the system says|there is no such/],
  ])("refuses %s", (_, name, says) => {
    writeFileSync(join(folder, "bytes"), Uint8Array.of(0xc3, 0x28));
    const { code, message } = failure(() => readTextFile(join(folder, name), 100));
    expect(code).toBe("file-unreadable");
    expect(message).toMatch(says);
  });
});

describe("writing files", () => {
  it("replaces what was there and leaves nothing else behind", () => {
    const file = join(folder, "a.json");
    writeFileSync(file, "old");
    diskFiles.write([
      { file, text: "new" },
      { file: join(folder, "b.json"), text: "beside" },
    ]);
    expect(readFileSync(file, "utf8")).toBe("new");
    expect(readdirSync(folder).sort()).toEqual(["a.json", "b.json"]);
  });

  it("writes none if one cannot be written", () => {
    const file = join(folder, "a.json");
    writeFileSync(file, "old");
    const error = failure(() =>
      diskFiles.write([
        { file, text: "new" },
        { file: join(folder, "gone", "b.json"), text: "beside" },
      ]),
    );
    expect(error.code).toBe("file-unwritable");
    expect(error.message).toMatch(/b\.json: there is no such file or folder\.$/);
    expect(readFileSync(file, "utf8")).toBe("old");
    expect(readdirSync(folder)).toEqual(["a.json"]);
  });

  it("tells files from folders", () => {
    expect(diskFiles.isFile(folder)).toBe(false);
    expect(diskFiles.isFile(join(folder, "x"))).toBe(false);
    diskFiles.write([{ file: join(folder, "x"), text: "" }]);
    expect(diskFiles.isFile(join(folder, "x"))).toBe(true);
  });
});

describe("the installed data", () => {
  it("is all there and sound", () => {
    const { data } = openStore();
    expect(data.boardIds()).toEqual(["merrow", "pellow-16"]);
    expect(data.boardFile("merrow").text).toContain('"merrow"');
    expect(data.partLibrary().get("74LS157")?.type).toBe("74LS157");
    expect(data.recognition().chips.length).toBeGreaterThan(0);
    expect(data.findModel().symptoms.length).toBeGreaterThan(0);
    expect(data.findCosts().switchOff).toBeGreaterThan(0);
    expect(data.failureData().events.events.length).toBeGreaterThan(0);
    expect(data.demoLog().file).toBe("data/demo/first-session.json");
  });

  it("is read once", () => {
    const { data } = openStore();
    expect(data.partLibrary()).toBe(data.partLibrary());
    expect(data.findModel()).toBe(data.findModel());
  });

  describe("when damaged", () => {
    const damaged = (path: string, change: (text: string) => string | undefined) => {
      const copy = join(folder, "data");
      if (!existsSync(copy)) cpSync(installedDataFolder, copy, { recursive: true });
      const text = change(readFileSync(join(copy, path), "utf8"));
      if (text === undefined) rmSync(join(copy, path));
      else writeFileSync(join(copy, path), text);
      return openInstalledData(copy);
    };

    it.each([
      [
        "find/model.json",
        (text: string) => text.slice(0, 100),
        /data\/find\/model\.json is damaged: \d+:\d+: A string is not closed/,
      ],
      [
        "find/costs.json",
        (text: string) => text.replace('"rail"', '"rial"'),
        /costs\.json is damaged.*tests\.rail.*missing/,
      ],
      ["failure/events.json", () => undefined, /events\.json is damaged.*no such file/],
      ["failure/mode-shares.json", () => "{", /mode-shares\.json is damaged: it is no JSON/],
      ["failure/trade-factors.json", () => "{}", /trade-factors\.json is damaged/],
      [
        "part-types/memory.json",
        (text: string) => text.replace('"pins"', '"pinns"'),
        /memory\.json is damaged.*types\[0\]\.pins.*missing/,
      ],
      [
        "recognition/nets.json",
        (text: string) => text.replace('"ground"', '"grund"'),
        /nets\.json is damaged.*'ground' is missing/,
      ],
    ])("%s is named with its flaw", (path, change, says) => {
      const data = damaged(path, change);
      const { code, message } = failure(() => {
        data.findModel();
        data.findCosts();
        data.failureData();
        data.partLibrary();
        data.recognition();
      });
      expect(code).toBe("data-broken");
      expect(message).toMatch(says);
    });

    it("a missing folder is named", () => {
      mkdirSync(join(folder, "empty"));
      const { code, message } = failure(() => openInstalledData(join(folder, "empty")).boardIds());
      expect([code, message]).toEqual([
        "data-broken",
        "The installed data file data/boards is damaged: there is no such file or folder.",
      ]);
    });
  });
});
