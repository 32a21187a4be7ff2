-- A studio's database as format 1 wrote it, by pg_dump. Never edit: studios hold such databases.
SET check_function_bodies = false;

CREATE SCHEMA fairpeg;

CREATE FUNCTION fairpeg.add(ids text[], shots text[], jsons text[], chars integer[], passes text[], papers boolean[], walls bigint[], counters bigint[], now_ms bigint, origin text) RETURNS TABLE(nth bigint, place bigint, other text)
    LANGUAGE plpgsql
    SET enable_seqscan TO 'off'
    SET enable_hashjoin TO 'off'
    SET enable_mergejoin TO 'off'
    AS $$
   DECLARE
     start BIGINT;
   BEGIN
     IF current_setting('transaction_isolation') <> 'read committed' THEN
       RAISE EXCEPTION 'fairpeg.add wants READ COMMITTED: it would not see what the lock waited for';
     END IF;
     PERFORM pg_advisory_xact_lock(7318101);
     SELECT coalesce(max(e.seq), 0) INTO start FROM fairpeg.entry e;
     RETURN QUERY
       WITH judged AS MATERIALIZED (
         SELECT g.*, e.json AS known,
           CASE WHEN e.id IS NULL THEN start + count(*) FILTER (WHERE e.id IS NULL) OVER (ORDER BY g.n) END AS place
         FROM unnest(ids, shots, jsons, chars, passes, papers, walls, counters)
           WITH ORDINALITY AS g (id, shot, json, chars, pass, paper, wall, counter, n)
         LEFT JOIN fairpeg.entry e ON e.id = g.id
       ), stored AS (
         INSERT INTO fairpeg.entry (seq, id, shot, json, chars, pass, received_ms, paper, wall_ms, counter)
         SELECT j.place, j.id, j.shot, j.json, j.chars, j.pass, now_ms, j.paper, j.wall, j.counter
         FROM judged j WHERE j.place IS NOT NULL ORDER BY j.place
       )
       SELECT j.n, j.place, CASE WHEN j.known <> j.json THEN j.known END FROM judged j ORDER BY j.n;
     IF EXISTS (SELECT 1 FROM fairpeg.entry e WHERE e.seq > start) THEN
       PERFORM fairpeg.tell_shots(start);
       PERFORM pg_notify('fairpeg', origin);
     END IF;
   END $$;

CREATE FUNCTION fairpeg.tell_shots(beyond bigint) RETURNS void
    LANGUAGE sql
    AS $$
     INSERT INTO fairpeg.shot AS s (id, last, last_id, paper)
     SELECT shot, max(seq), (array_agg(id ORDER BY seq DESC))[1], max(seq) FILTER (WHERE paper)
     FROM fairpeg.entry WHERE seq > beyond GROUP BY shot
     ON CONFLICT (id) DO UPDATE SET
       last = excluded.last, last_id = excluded.last_id, paper = coalesce(excluded.paper, s.paper);
   $$;

CREATE TABLE fairpeg.pass (
    id text NOT NULL,
    name text NOT NULL,
    role text NOT NULL,
    owner boolean NOT NULL,
    person text,
    code text,
    token text,
    made_ms bigint NOT NULL,
    joined_ms bigint,
    revoked_ms bigint
);

CREATE FUNCTION fairpeg.use_code(code_hash text, token_hash text, person_id text, other_id text, now_ms bigint, made_after_ms bigint) RETURNS SETOF fairpeg.pass
    LANGUAGE plpgsql
    AS $$
   BEGIN
     LOCK TABLE fairpeg.pass IN SHARE ROW EXCLUSIVE MODE;
     RETURN QUERY
       UPDATE fairpeg.pass p SET token = token_hash, joined_ms = now_ms, code = NULL,
         person = coalesce(p.person, CASE
           WHEN EXISTS (SELECT 1 FROM fairpeg.pass o WHERE o.person = person_id) THEN other_id ELSE person_id END)
       WHERE p.code = code_hash AND p.revoked_ms IS NULL AND p.made_ms > made_after_ms
       RETURNING p.*;
   END $$;

CREATE TABLE fairpeg.entry (
    seq bigint NOT NULL,
    id text NOT NULL,
    shot text NOT NULL,
    json text NOT NULL,
    chars integer NOT NULL,
    pass text,
    received_ms bigint NOT NULL,
    paper boolean NOT NULL,
    wall_ms bigint NOT NULL,
    counter bigint NOT NULL
);

CREATE TABLE fairpeg.folder (
    name text NOT NULL,
    shot text NOT NULL
);

CREATE TABLE fairpeg.format (
    version integer NOT NULL
);

CREATE TABLE fairpeg.setting (
    key text NOT NULL,
    value text NOT NULL
);

CREATE TABLE fairpeg.shot (
    id text NOT NULL,
    last bigint NOT NULL,
    last_id text NOT NULL,
    paper bigint
);

INSERT INTO fairpeg.entry VALUES (1, 'drawing-1', 'lantern-1', '{"v":1,"id":"drawing-1","shot":"lantern-1","writer":{"id":"person-1","name":"Dov","role":"director"},"stamp":{"wallMs":5000,"counter":0},"body":{"kind":"drawing","level":"A","drawing":"12"}}', 190, 'pass-1', 1796070940199, true, 5000, 0);
INSERT INTO fairpeg.entry VALUES (2, 'reply-1', 'lantern-1', '{"v":1,"id":"reply-1","shot":"lantern-1","writer":{"id":"person-1","name":"Dov","role":"director"},"stamp":{"wallMs":6000,"counter":0},"body":{"kind":"reply","to":"pin-1","text":"The fold is on the left; “Inès” knows."}}', 220, 'pass-1', 1796070940199, false, 6000, 0);
INSERT INTO fairpeg.entry VALUES (3, 'reply-2', 'ferry-7', '{"v":1,"id":"reply-2","shot":"ferry-7","writer":{"id":"person-1","name":"Dov","role":"director"},"stamp":{"wallMs":7000,"counter":0},"body":{"kind":"reply","to":"pin-2","text":"Later."}}', 186, NULL, 1796070940230, false, 7000, 0);

INSERT INTO fairpeg.folder VALUES ('lantern', 'lantern-1');

INSERT INTO fairpeg.format VALUES (1);

INSERT INTO fairpeg.pass VALUES ('pass-1', 'Dov', 'director', true, 'person-1', NULL, 'token-hash-1', 1000, 2000, NULL);
INSERT INTO fairpeg.pass VALUES ('pass-2', 'Inès', 'assistant', false, NULL, 'code-hash-2', NULL, 3000, NULL, NULL);

INSERT INTO fairpeg.setting VALUES ('server', '0b9e3c52-7d0e-4a51-9d0b-6a3f6f0c2a11');

INSERT INTO fairpeg.shot VALUES ('lantern-1', 2, 'reply-1', 1);
INSERT INTO fairpeg.shot VALUES ('ferry-7', 3, 'reply-2', NULL);

ALTER TABLE ONLY fairpeg.entry
    ADD CONSTRAINT entry_id_key UNIQUE (id);

ALTER TABLE ONLY fairpeg.entry
    ADD CONSTRAINT entry_pkey PRIMARY KEY (seq);

ALTER TABLE ONLY fairpeg.folder
    ADD CONSTRAINT folder_pkey PRIMARY KEY (name);

ALTER TABLE ONLY fairpeg.pass
    ADD CONSTRAINT pass_code_key UNIQUE (code);

ALTER TABLE ONLY fairpeg.pass
    ADD CONSTRAINT pass_pkey PRIMARY KEY (id);

ALTER TABLE ONLY fairpeg.pass
    ADD CONSTRAINT pass_token_key UNIQUE (token);

ALTER TABLE ONLY fairpeg.setting
    ADD CONSTRAINT setting_pkey PRIMARY KEY (key);

ALTER TABLE ONLY fairpeg.shot
    ADD CONSTRAINT shot_pkey PRIMARY KEY (id);

CREATE INDEX entry_of_shot ON fairpeg.entry USING btree (shot, seq);

CREATE INDEX paper_of_shot ON fairpeg.entry USING btree (shot, seq) WHERE paper;
