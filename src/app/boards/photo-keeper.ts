import { BoardwakeError } from "../../core/base/errors.js";
import { cleanPhoto } from "../../core/draw/photo/clean-photo.js";
import { isMisplaced, placeNamed } from "../../core/find/evidence/place-name.js";
import type { StoredPhoto } from "../../store/jobs/board-shelf.js";
import type { JobStore } from "../../store/jobs/job-store.js";
import {
  mostPhotoBytes,
  type Photo,
  type PhotoMarks,
  type PhotoSide,
  photoMarksSchema,
} from "../api/photos.js";
import type { JobBook } from "../jobs/job-book.js";
import { Refusal } from "../jobs/refusal.js";

/** Pictures of the boards of jobs: one for each side, without anything that says where it was taken. */
export class PhotoKeeper {
  private readonly jobs: JobStore;
  private readonly book: JobBook;
  private readonly now: () => string;

  /** `now` gives the moment as ISO 8601 in UTC. */
  constructor(jobs: JobStore, book: JobBook, now: () => string) {
    this.jobs = jobs;
    this.book = book;
    this.now = now;
  }

  /** Throws `job-unknown`. */
  list(job: string): Photo[] {
    this.book.read(job);
    return this.jobs.shelf.photos(job).map(photoOf);
  }

  /** Bytes of a picture with their media type. Throws `job-unknown`, `photo-unknown`. */
  bytes(job: string, side: PhotoSide): { readonly type: string; readonly bytes: Uint8Array } {
    this.book.read(job);
    const photo = this.jobs.shelf.photos(job).find((one) => one.side === side);
    const bytes = this.jobs.shelf.photoBytes(job, side);
    if (photo === undefined || bytes === undefined) throw new BoardwakeError("photo-unknown", { side });
    return { type: photo.mediaType, bytes };
  }

  /**
   * Puts a picture in the place of the one of its side. Throws `job-unknown`, and `Refusal` for what is no picture or a
   * too large one.
   */
  put(job: string, side: PhotoSide, bytes: Uint8Array): Photo {
    this.book.read(job);
    if (bytes.length > mostPhotoBytes)
      throw new Refusal({
        code: "photo-too-large",
        severity: "error",
        message: `The picture has ${(bytes.length / 1e6).toFixed(1)} MB; at most ${mostPhotoBytes / 1e6} MB are taken.`,
        where: { field: "data" },
        hint: "Make it smaller first.",
      });
    const { value, problems } = cleanPhoto(bytes);
    if (value === undefined) {
      const [problem] = problems;
      throw problem === undefined
        ? new BoardwakeError("internal", { reason: "a picture came to nothing" })
        : new Refusal(problem);
    }
    const { mediaType, widthPixel, heightPixel } = value;
    const photo = { side, at: this.now(), mediaType, widthPixel, heightPixel, marks: "[]" };
    this.jobs.shelf.putPhoto(job, photo, value.bytes);
    return photoOf(photo);
  }

  /** Keeps where places of the board are seen. Throws `job-unknown`, `photo-unknown`, and `Refusal` for a pin the board does not have. */
  mark(job: string, side: PhotoSide, { marks }: PhotoMarks): Photo {
    const { circuit } = this.book.boardOf(job);
    for (const [i, { pin }] of marks.entries()) {
      const place = placeNamed(circuit, pin);
      if (!isMisplaced(place) && place.kind === "pin") continue;
      throw new Refusal({
        code: "unknown-pin",
        severity: "error",
        message: `There is no pin '${pin}' on this board.`,
        where: { field: `marks[${i}].pin` },
        hint: "Name a pin as U4.7.",
      });
    }
    if (!this.jobs.shelf.setMarks(job, side, JSON.stringify(marks)))
      throw new BoardwakeError("photo-unknown", { side });
    const photo = this.list(job).find((one) => one.side === side);
    if (photo === undefined) throw new BoardwakeError("photo-unknown", { side });
    return photo;
  }

  /** Throws `job-unknown`, `photo-unknown`. */
  remove(job: string, side: PhotoSide): void {
    this.book.read(job);
    if (!this.jobs.shelf.removePhoto(job, side)) throw new BoardwakeError("photo-unknown", { side });
  }
}

function photoOf({ side, at, widthPixel, heightPixel, marks }: StoredPhoto): Photo {
  return { side, at, widthPixel, heightPixel, marks: photoMarksSchema.shape.marks.parse(JSON.parse(marks)) };
}
