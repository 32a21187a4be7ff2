/** What every part of the API stands on. */
import * as v from 'valibot';
import type { Limits } from '../limits.ts';
import type { Live } from '../live.ts';
import type { OpenRequests } from '../open-requests.ts';
import type { Gate } from '../passes.ts';
import type { Images } from '../pictures/images.ts';
import type { Lacking } from '../pictures/lacking.ts';
import { Refusal } from '../refusal.ts';
import type { Seal } from '../seal.ts';
import type { Shots } from '../shots.ts';
import type { StudioStore } from '../store/types.ts';
import type { Watch } from '../watch.ts';

export interface ApiNeeds {
  /** The server's own id; of all servers on one database. */
  readonly server: string;
  readonly store: StudioStore;
  readonly seal: Seal;
  readonly images: Images;
  readonly shots: Shots;
  readonly lacking: Pick<Lacking, 'told' | 'missed'>;
  readonly live: Live;
  readonly open: OpenRequests;
  readonly gate: Gate;
  readonly limits: Limits;
  readonly watch: Pick<Watch, 'entry'>;
  /** True where everyone needs a pass: a server that listens on the network. */
  readonly needsPass: boolean;
  /** True when tablets reach this server by HTTPS. */
  readonly secure: boolean;
  /** Where other tablets find the app, the best address first. */
  readonly urls: () => readonly string[];
  readonly now: () => number;
}

/** The value as the schema reads it; refuses, and names the field. */
export function valid<T extends v.GenericSchema>(schema: T, value: unknown): v.InferOutput<T> {
  const result = v.safeParse(schema, value);
  if (result.success) return result.output;
  const [issue] = result.issues;
  throw new Refusal(400, 'form', `${v.getDotPath(issue) ?? 'The request'} does not fit: ${issue.message}`);
}
