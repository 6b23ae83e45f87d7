import { useEffect, useMemo, useState } from "react";
import type { Photo, PhotoSide } from "../../app/api/photos.js";
import type { BoardMap } from "../../core/draw/board-map.js";
import { type Registration, registerPhoto } from "../../core/draw/photo/register.js";
import { api } from "../net/api.js";
import { onStreamEvent } from "../net/live.js";
import { useLoaded } from "../net/load.js";
import { apiAddress } from "../net/request.js";

/** A picture that lies over the map. */
export interface LaidPhoto {
  readonly image: HTMLImageElement;
  readonly registration: Registration;
}

/** Address of the picture itself; another one when another picture was brought. */
export function photoAddress(job: string, { side, at }: Photo): string {
  return apiAddress(`/jobs/${encodeURIComponent(job)}/photos/${side}?at=${encodeURIComponent(at)}`);
}

/** Where the marks of a picture lie on the board; marks at pins that the board does not have are left out. */
export function registrationOf(
  map: BoardMap,
  photo: Pick<Photo, "side" | "marks">,
): Registration | undefined {
  const places = new Map<string, { x: number; y: number }>(
    map.parts.flatMap(({ ref, pins }) => pins.map(({ pin, x, y }) => [`${ref}.${pin}`, { x, y }] as const)),
  );
  const marks = photo.marks.flatMap(({ pin, x, y }) => {
    const board = places.get(pin);
    return board === undefined ? [] : [{ board, photo: { x, y } }];
  });
  return registerPhoto(marks, photo.side);
}

/** The pictures of a job, and the one of a side as it lies over the map once it is marked and fetched. */
export function usePhoto(
  job: string,
  map: BoardMap | null,
  side: PhotoSide,
): { readonly photo: Photo | null; readonly laid: LaidPhoto | null; readonly reload: () => void } {
  const { value, reload } = useLoaded(`photos ${job}`, () => api.photos(job));
  useEffect(
    () =>
      onStreamEvent((event) => {
        if (event.type === "photos" && event.id === job) reload();
      }),
    [job, reload],
  );
  const photo = (value ?? []).find((one) => one.side === side) ?? null;
  const registration = useMemo(
    () => (photo === null || map === null ? undefined : registrationOf(map, photo)),
    [photo, map],
  );
  const address = photo === null ? "" : photoAddress(job, photo);
  const [image, setImage] = useState<HTMLImageElement | null>(null);
  useEffect(() => {
    setImage(null);
    if (address === "") return undefined;
    const fetched = new Image();
    let wanted = true;
    fetched.src = address;
    fetched.decode().then(
      () => wanted && setImage(fetched),
      () => undefined,
    );
    return () => {
      wanted = false;
    };
  }, [address]);
  const laid = useMemo(
    () => (image === null || registration === undefined ? null : { image, registration }),
    [image, registration],
  );
  return { photo, laid, reload };
}
