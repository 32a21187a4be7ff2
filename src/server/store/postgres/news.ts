/** What was committed, told once to each listener of this process: its own at once, that of others when it is heard. */
import { type StoreWatch, unwatched } from '../../watch.ts';
import type { News } from '../types.ts';
import type { Database } from './database.ts';

export interface NewsDesk {
  listen(tell: (news: News) => void): void;
  /** What this process committed: at these places, the first and the last. */
  own(news: readonly News[], first: number, last: number): void;
  /** Looks for what others committed. Resolves when all that was committed before the call is told. */
  look(): Promise<void>;
}

interface Row {
  readonly shot: string;
  readonly last: number;
  readonly isOwn: boolean;
  readonly isPaper: boolean;
  /** When its last entry came in, by the clock of the server where it did. */
  readonly receivedMs: number;
}

export async function newsDesk(
  database: Database,
  watch: Pick<StoreWatch, 'hinted'> = unwatched,
): Promise<NewsDesk> {
  const listeners: ((news: News) => void)[] = [];
  const tellAll = (news: News): void => {
    for (const tell of listeners) tell(news);
  };
  const [newest] = await database.query<{ last: number }>(
    'SELECT coalesce(max(seq), 0) AS last FROM fairpeg.entry',
  );
  /** All up to here is told. Places become visible in their order (`format.ts`): nothing appears below it later. */
  let known = newest?.last ?? 0;
  /** Places above `known` that were told already. */
  let told: { readonly first: number; readonly last: number }[] = [];

  const lookOnce = async (): Promise<void> => {
    const ranges = `{${told.map(({ first, last }) => `[${first},${last}]`).join(',')}}`;
    const rows = await database.query<Row>(
      `SELECT shot, max(seq) AS last, bool_and($2::int8multirange @> seq) AS "isOwn",
         coalesce(bool_or(paper) FILTER (WHERE NOT $2::int8multirange @> seq), false) AS "isPaper",
         max(received_ms) AS "receivedMs"
       FROM fairpeg.entry WHERE seq > $1 GROUP BY shot`,
      [known, ranges],
    );
    known = rows.reduce((most, { last }) => Math.max(most, last), known);
    told = told.filter(({ last }) => last > known);
    for (const { shot, last, isOwn, isPaper, receivedMs } of rows) {
      if (isOwn) continue;
      tellAll({ shot, last, isPaper });
      // Clocks of two servers may differ by a little.
      watch.hinted(Math.max(0, Date.now() - receivedMs) / 1000, false);
    }
  };

  let looking: Promise<void> | undefined;
  let next: Promise<void> | undefined;
  const look = (): Promise<void> => {
    if (!looking) {
      looking = lookOnce().finally(() => {
        looking = undefined;
      });
      return looking;
    }
    // The one under way may have started before what is asked for: one more follows, for all who ask meanwhile.
    const again = (): Promise<void> => {
      next = undefined;
      return look();
    };
    next ??= looking.then(again, again);
    return next;
  };
  return {
    listen: (tell) => void listeners.push(tell),
    own(news, first, last) {
      told.push({ first, last });
      news.forEach(tellAll);
    },
    look,
  };
}
