/**
 * Step 2 of the database's format (`format.ts`): limits that hold over all servers. All times are the database's own, so
 * that servers whose clocks differ count alike. Nothing here grows: what is full again is forgotten.
 *
 * Wrong codes are counted in the very statement that tries a code, under the lock by which joins take turns. So no guess is
 * looked at before the one before it is counted, on whatever server that came in; and it costs no further question.
 *
 * Requests and what is open are counted in each server's memory and told here about once a second (`neighbours.ts` of the
 * server), so that no request waits for it. A crash of the database forgets those two (UNLOGGED), wrong codes it keeps.
 *
 * Servers of format 1 that still run meanwhile go on with `use_code`.
 */
export const sharedLimits = `
  CREATE TABLE fairpeg.guess (key TEXT PRIMARY KEY, tokens DOUBLE PRECISION NOT NULL, at TIMESTAMPTZ NOT NULL);
  CREATE INDEX guess_at ON fairpeg.guess (at);

  -- A token bucket that is full again after ten minutes.
  CREATE FUNCTION fairpeg.guesses_left(whose TEXT, burst INTEGER) RETURNS DOUBLE PRECISION
    LANGUAGE sql VOLATILE AS $$
    SELECT coalesce(
      (SELECT least(burst, g.tokens
         + burst * extract(epoch FROM greatest(clock_timestamp() - g.at, interval '0'))::double precision / 600)
       FROM fairpeg.guess g WHERE g.key = whose),
      burst);
  $$;
  CREATE FUNCTION fairpeg.count_guess(whose TEXT, burst INTEGER) RETURNS void LANGUAGE sql VOLATILE AS $$
    INSERT INTO fairpeg.guess AS g (key, tokens, at)
    SELECT whose, CASE WHEN l.tokens >= 1 THEN l.tokens - 1 ELSE l.tokens END, clock_timestamp()
    FROM fairpeg.guesses_left(whose, burst) AS l (tokens)
    ON CONFLICT (key) DO UPDATE SET tokens = excluded.tokens, at = excluded.at;
  $$;
  CREATE FUNCTION fairpeg.try_code(
    code_hash TEXT, token_hash TEXT, person_id TEXT, other_id TEXT, now_ms BIGINT, made_after_ms BIGINT,
    guesser TEXT, per_address INTEGER, in_all INTEGER, OUT verdict TEXT, OUT joined fairpeg.pass
  ) LANGUAGE plpgsql VOLATILE AS $$
  BEGIN
    -- Guesses take turns; each statement after this one sees what was counted before.
    LOCK TABLE fairpeg.pass IN SHARE ROW EXCLUSIVE MODE;
    verdict := 'too many';
    IF fairpeg.guesses_left('of ' || guesser, per_address) < 1 THEN RETURN; END IF;
    -- Many wrong ones from everywhere must lock nobody out: then each address has one guess.
    IF fairpeg.guesses_left('all', in_all) < 1 AND fairpeg.guesses_left('one of ' || guesser, 1) < 1 THEN
      RETURN;
    END IF;
    SELECT * INTO joined FROM fairpeg.use_code(code_hash, token_hash, person_id, other_id, now_ms, made_after_ms);
    IF FOUND THEN
      verdict := 'joined';
      RETURN;
    END IF;
    verdict := 'wrong';
    PERFORM fairpeg.count_guess('of ' || guesser, per_address);
    PERFORM fairpeg.count_guess('all', in_all);
    PERFORM fairpeg.count_guess('one of ' || guesser, 1);
    DELETE FROM fairpeg.guess WHERE at < clock_timestamp() - interval '600 seconds';
  END $$;

  CREATE UNLOGGED TABLE fairpeg.spent (
    key TEXT PRIMARY KEY, tokens DOUBLE PRECISION NOT NULL, at TIMESTAMPTZ NOT NULL
  );
  CREATE INDEX spent_at ON fairpeg.spent (at);

  -- Keys in one order, so that no two servers wait for each other. A debt is paid back, but never grows beyond a burst.
  CREATE FUNCTION fairpeg.spend(
    keys TEXT[], amounts DOUBLE PRECISION[], burst DOUBLE PRECISION, per_second DOUBLE PRECISION
  ) RETURNS TABLE (key TEXT, tokens DOUBLE PRECISION) LANGUAGE sql VOLATILE AS $$
    DELETE FROM fairpeg.spent s WHERE s.key IN (
      SELECT o.key FROM fairpeg.spent o
      WHERE o.at < clock_timestamp() - make_interval(secs => 2 * burst / per_second) FOR UPDATE SKIP LOCKED
    );
    INSERT INTO fairpeg.spent AS s (key, tokens, at)
    SELECT u.key, greatest(-burst, burst - u.amount), clock_timestamp()
    FROM unnest(keys, amounts) AS u (key, amount) ORDER BY u.key
    ON CONFLICT (key) DO UPDATE SET
      tokens = greatest(-burst, excluded.tokens - burst + least(burst, s.tokens
        + per_second * extract(epoch FROM greatest(clock_timestamp() - s.at, interval '0'))::double precision)),
      at = clock_timestamp()
    RETURNING s.key, s.tokens;
  $$;

  CREATE UNLOGGED TABLE fairpeg.open (server TEXT PRIMARY KEY, told TEXT NOT NULL, at TIMESTAMPTZ NOT NULL);

  -- What the others have open. One that was silent for five seconds is gone, or cut off.
  CREATE FUNCTION fairpeg.tell_open(own TEXT, now_open TEXT) RETURNS SETOF TEXT LANGUAGE sql VOLATILE AS $$
    DELETE FROM fairpeg.open o WHERE o.at < clock_timestamp() - interval '60 seconds';
    INSERT INTO fairpeg.open AS o (server, told, at) VALUES (own, coalesce(now_open, ''), clock_timestamp())
    ON CONFLICT (server) DO UPDATE SET told = coalesce(now_open, o.told), at = excluded.at;
    SELECT o.told FROM fairpeg.open o
    WHERE o.server <> own AND o.at > clock_timestamp() - interval '5 seconds' AND o.told <> '';
  $$;`;
