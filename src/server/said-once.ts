/** What goes on failing is said once, and once when it is well again: a log that repeats itself hides the rest. */
export interface SaidOnce {
  failed(this: void, line: string): void;
  well(this: void): void;
}

export function saidOnce(log: (line: string) => void, again: string): SaidOnce {
  let isFailing = false;
  return {
    failed(line) {
      if (!isFailing) log(line);
      isFailing = true;
    },
    well() {
      if (isFailing) log(again);
      isFailing = false;
    },
  };
}
