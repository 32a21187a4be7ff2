/** A worker that a test plays: it keeps what it was sent, and says what the test makes it say. */
import type { Port } from '../../../src/work/bridge.ts';
import type { FromWorker, ToWorker } from '../../../src/work/messages.ts';

export interface Played {
  readonly heard: ToWorker<string>[];
  /** Of the last job it was sent. */
  readonly jobId: () => number;
  readonly say: (message: FromWorker<string>) => void;
  readonly die: (reason: string) => void;
  ended: boolean;
}

/** Every worker that the bridge started, oldest first. */
export function playedWorkers(): { readonly all: Played[]; readonly start: () => Port<string, string> } {
  const all: Played[] = [];
  return {
    all,
    start() {
      const heard: ToWorker<string>[] = [];
      let [say, die]: [Played['say'], Played['die']] = [() => undefined, () => undefined];
      const played: Played = {
        heard,
        jobId: () => heard.findLast((message) => 'id' in message)?.id ?? -1,
        say: (message) => say(message),
        die: (reason) => die(reason),
        ended: false,
      };
      all.push(played);
      return {
        send: (message) => void heard.push(message),
        onMessage: (listener) => {
          say = listener;
        },
        onFailure: (listener) => {
          die = listener;
        },
        end: () => {
          played.ended = true;
        },
      };
    },
  };
}
