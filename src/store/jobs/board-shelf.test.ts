import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type JobStore, openJobStore } from "./job-store.js";

let store: JobStore;
beforeEach(() => {
  store = openJobStore(":memory:");
});
afterEach(() => store.close());

const at = "2026-03-01T10:00:00.000Z";
const later = "2026-03-02T10:00:00.000Z";
const version = (text: string, moment = at) => ({
  board: "attic",
  at: moment,
  note: "",
  text,
  types: "[]",
  report: "{}",
});

describe("boards of one's own", () => {
  it("are kept in versions, of which the newest is given if none is named", () => {
    expect(store.shelf.addVersion(version("one"))).toBe(1);
    expect(store.shelf.addVersion(version("two", later))).toBe(2);
    expect(store.shelf.boards()).toEqual([{ id: "attic", newest: 2, changedAt: later }]);
    expect(store.shelf.version("attic")?.text).toBe("two");
    expect(store.shelf.version("attic", 1)?.text).toBe("one");
    expect(store.shelf.version("attic", 3)).toBeUndefined();
    expect(store.shelf.versions("attic").map(({ number }) => number)).toEqual([1, 2]);
    expect(store.shelf.versions("cellar")).toEqual([]);
  });

  it("go with all their versions", () => {
    store.shelf.addVersion(version("one"));
    expect(store.shelf.removeBoard("attic")).toBe(true);
    expect(store.shelf.removeBoard("attic")).toBe(false);
    expect(store.shelf.boards()).toEqual([]);
    expect(store.shelf.version("attic")).toBeUndefined();
  });
});

describe("part types of one's own", () => {
  it("stand as last set, and can be taken away", () => {
    expect(store.shelf.typesRevision()).toBe(0);
    store.shelf.setType({ name: "ULA", at, text: "1" });
    store.shelf.setType({ name: "AY", at, text: "2" });
    store.shelf.setType({ name: "ULA", at: later, text: "3" });
    expect(store.shelf.types()).toEqual([
      { name: "AY", at, text: "2" },
      { name: "ULA", at: later, text: "3" },
    ]);
    store.shelf.setType({ name: "AY", at: later, text: "" });
    expect(store.shelf.types().map(({ name }) => name)).toEqual(["ULA"]);
    expect(store.shelf.typesRevision()).toBe(4);
  });
});

describe("pictures", () => {
  const job = "00000000-0000-4000-8000-000000000001";
  const photo = {
    side: "component",
    at,
    mediaType: "image/jpeg",
    widthPixel: 4,
    heightPixel: 3,
    marks: "[]",
  } as const;

  it("belong to a job that there is, one for each side", () => {
    expect(() => store.shelf.putPhoto(job, photo, new Uint8Array([1]))).toThrow();
    store.change((write) => write.addJob({ id: job, openedAt: at, isDemo: false }));
    store.shelf.putPhoto(job, photo, new Uint8Array([1, 2]));
    store.shelf.putPhoto(job, { ...photo, at: later }, new Uint8Array([3]));
    expect(store.shelf.photos(job)).toEqual([{ ...photo, at: later }]);
    expect([...(store.shelf.photoBytes(job, "component") ?? [])]).toEqual([3]);
    expect(store.shelf.photoBytes(job, "solder")).toBeUndefined();
    expect(store.shelf.setMarks(job, "component", "[1]")).toBe(true);
    expect(store.shelf.setMarks(job, "solder", "[1]")).toBe(false);
    expect(store.shelf.photos(job)[0]?.marks).toBe("[1]");
    expect(store.shelf.removePhoto(job, "component")).toBe(true);
    expect(store.shelf.removePhoto(job, "component")).toBe(false);
  });
});
