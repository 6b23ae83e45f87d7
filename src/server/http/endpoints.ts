import { accessEndpoints } from "./access-endpoints.js";
import { boardEndpoints } from "./board-endpoints.js";
import type { Endpoint } from "./endpoint.js";
import { jobEndpoints } from "./job-endpoints.js";
import { memoryEndpoints } from "./memory-endpoints.js";
import { ownBoardEndpoints } from "./own-board-endpoints.js";
import { photoEndpoints } from "./photo-endpoints.js";
import { practiceEndpoints } from "./practice-endpoints.js";
import { typeEndpoints } from "./type-endpoints.js";

/** Where the API begins. */
export const apiRoot = "/api/v1";

/** Everything that can be asked over HTTP besides the stream and the description of the API. */
export const endpoints: readonly Endpoint[] = [
  ...accessEndpoints,
  ...boardEndpoints,
  ...ownBoardEndpoints,
  ...typeEndpoints,
  ...jobEndpoints,
  ...photoEndpoints,
  ...memoryEndpoints,
  ...practiceEndpoints,
];
