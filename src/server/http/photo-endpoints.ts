import { z } from "zod";
import {
  mostPhotoRequestBytes,
  newPhotoSchema,
  photoMarksSchema,
  photoSchema,
  photoSideSchema,
} from "../../app/api/photos.js";
import { doneSchema } from "../../app/api/shapes.js";
import { type Endpoint, endpoint, takesNothing } from "./endpoint.js";

const jobId = z.object({ id: z.string().max(80) });
const jobSide = z.object({ id: z.string().max(80), side: photoSideSchema });

/** Pictures of the boards of jobs. */
export const photoEndpoints: readonly Endpoint[] = [
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/photos",
      summary: "Pictures of the job's board, one for each side at most",
      tag: "jobs",
      access: "paired",
      params: jobId,
      answer: z.array(photoSchema),
      errors: ["job-unknown"],
    },
    ({ photos }, { params }) => ({ body: photos.list(params.id) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/photos",
      summary: "Bring a picture of one side of the board; it takes the place of the one there was",
      tag: "jobs",
      access: "paired",
      params: jobId,
      body: newPhotoSchema,
      mostBytes: mostPhotoRequestBytes,
      answer: photoSchema,
      errors: ["job-unknown"],
    },
    ({ photos, hub }, { params, body }) => {
      const photo = photos.put(params.id, body.side, Buffer.from(body.data, "base64"));
      hub.send({ type: "photos", id: params.id });
      return { body: photo };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "GET",
      path: "/jobs/{id}/photos/{side}",
      summary: "The picture itself",
      tag: "jobs",
      access: "paired",
      params: jobSide,
      query: z.object({ at: z.string().max(40).optional().describe("When it was brought; not looked at.") }),
      answer: z.unknown().describe("A JPEG or PNG picture."),
      errors: ["job-unknown", "photo-unknown"],
    },
    ({ photos }, { params }) => ({ raw: photos.bytes(params.id, params.side) }),
  ),
  endpoint(
    {
      ...takesNothing,
      method: "POST",
      path: "/jobs/{id}/photos/{side}/marks",
      summary: "Say where pins of the board are seen on the picture, so that the map can be laid over it",
      tag: "jobs",
      access: "paired",
      params: jobSide,
      body: photoMarksSchema,
      answer: photoSchema,
      errors: ["job-unknown", "photo-unknown"],
    },
    ({ photos, hub }, { params, body }) => {
      const photo = photos.mark(params.id, params.side, body);
      hub.send({ type: "photos", id: params.id });
      return { body: photo };
    },
  ),
  endpoint(
    {
      ...takesNothing,
      method: "DELETE",
      path: "/jobs/{id}/photos/{side}",
      summary: "Take a picture away",
      tag: "jobs",
      access: "paired",
      params: jobSide,
      answer: doneSchema,
      errors: ["job-unknown", "photo-unknown"],
    },
    ({ photos, hub }, { params }) => {
      photos.remove(params.id, params.side);
      hub.send({ type: "photos", id: params.id });
      return { body: { done: true as const } };
    },
  ),
];
