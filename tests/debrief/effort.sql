-- Line-hours and counts out of a log by SQL alone: a second way, which shares no code with the board or the debrief.
--
-- It knows less than the board does: what hand-written logs hold (lines told one by one or together or seen by eye, strikes, fights,
-- lines taken, baits, phases). One row: counts, and line-ms in all, by place, bait, phase and hour, each as a JSON object.

WITH
  -- What stands: taken entries, corrections in their place, neither voided nor replaced, in the order of when they happened.
  void AS (
    SELECT json_extract(body, '$.target') AS id FROM entry WHERE kind = 'voided' AND refused IS NULL
  ),
  live AS (
    SELECT e.seq, e.id, e.kind, e.at_ms, coalesce(r.body, e.body) AS body, e.got_ms
    FROM entry AS e
    LEFT JOIN entry AS r ON r.instead_of = e.id AND r.refused IS NULL AND r.id NOT IN (SELECT id FROM void)
    WHERE e.refused IS NULL AND e.instead_of IS NULL AND e.id NOT IN (SELECT id FROM void)
  ),
  spread AS (
    SELECT json_extract(p.value, '$.id') AS line, json_extract(p.value, '$.name') AS name, json_extract(p.value, '$.gear') AS gear,
           json_extract(p.value, '$.bait') AS bait
    FROM live, json_each(live.body, '$.spread') AS p WHERE live.kind = 'trip_started'
  ),
  ended AS (SELECT coalesce(min(CASE WHEN kind = 'trip_ended' THEN at_ms END), max(at_ms)) AS at_ms FROM live),

  -- Each change of a line's state.
  strikes AS (SELECT id, at_ms, json_extract(body, '$.line') AS line, seq FROM live WHERE kind = 'strike'),
  ends AS (
    SELECT json_extract(body, '$.strike') AS id, at_ms, json_extract(body, '$.end') AS how, seq FROM live WHERE kind = 'strike_ended'
  ),
  fights AS (
    SELECT json_extract(body, '$.fight') AS id, at_ms, json_extract(body, '$.end') AS how, seq FROM live WHERE kind = 'fight_ended'
  ),
  told AS (
    SELECT at_ms, seq, json_extract(body, '$.line') AS line, json_extract(body, '$.state') AS state FROM live WHERE kind = 'line_is'
    UNION ALL SELECT at_ms, seq, l.value, 'in' FROM live, json_each(live.body, '$.in') AS l WHERE kind = 'lines_are'
    UNION ALL SELECT at_ms, seq, l.value, 'out' FROM live, json_each(live.body, '$.out') AS l WHERE kind = 'lines_are'
    UNION ALL SELECT at_ms, seq, json_extract(body, '$.line'), 'clearing' FROM live WHERE kind = 'line_taken'
    UNION ALL SELECT at_ms, seq, line, 'strike' FROM strikes WHERE line > 0
    UNION ALL SELECT ends.at_ms, ends.seq, strikes.line, CASE how WHEN 'on' THEN 'on' ELSE 'out' END FROM ends JOIN strikes USING (id)
    UNION ALL SELECT fights.at_ms, fights.seq, strikes.line, CASE WHEN how IN ('boated', 'released') THEN 'in' ELSE 'out' END
      FROM fights JOIN strikes USING (id)
    -- A look tells every line but one with a fish on.
    UNION ALL SELECT live.at_ms, live.seq, spread.line, json_extract(live.body, '$.state') FROM live, spread
      WHERE live.kind = 'lines_seen' AND NOT EXISTS (
        SELECT 1 FROM strikes JOIN ends USING (id) LEFT JOIN fights USING (id)
        WHERE strikes.line = spread.line AND ends.how = 'on' AND ends.at_ms <= live.at_ms AND coalesce(fights.at_ms, 1e18) > live.at_ms)
  ),
  spans AS (
    SELECT line, state, at_ms AS from_ms, lead(at_ms) OVER (PARTITION BY line ORDER BY at_ms, seq) AS to_ms FROM told
  ),
  out AS (
    SELECT spans.line, name, spread.bait AS first_bait, from_ms, min(coalesce(to_ms, 9e18), ended.at_ms) AS to_ms
    FROM spans JOIN spread USING (line), ended WHERE state = 'out' AND gear IN ('line', 'float') AND from_ms < ended.at_ms
  ),

  -- Cut by bait, by phase, by hour.
  baits AS (
    SELECT line, bait, from_ms, lead(from_ms, 1, 9e18) OVER (PARTITION BY line ORDER BY from_ms) AS to_ms FROM (
      SELECT line, bait, -1 AS from_ms FROM spread
      UNION ALL SELECT json_extract(body, '$.line'), json_extract(body, '$.bait'), at_ms FROM live WHERE kind = 'line_bait')
  ),
  phases AS (
    SELECT json_extract(body, '$.phase') AS phase, at_ms AS from_ms, lead(at_ms, 1, 9e18) OVER (ORDER BY at_ms, seq) AS to_ms
    FROM live WHERE kind = 'trip_phase'
  ),
  clock AS (SELECT json_extract(body, '$.utc_offset_ms') AS ms FROM live WHERE kind = 'clock' ORDER BY seq DESC LIMIT 1),
  hours AS (
    WITH RECURSIVE h(start_ms) AS (
      SELECT (SELECT min(from_ms) FROM out) - ((SELECT min(from_ms) FROM out) + (SELECT ms FROM clock)) % 3600000
      UNION ALL SELECT start_ms + 3600000 FROM h, ended WHERE start_ms < ended.at_ms)
    SELECT start_ms, strftime('%H', (start_ms + (SELECT ms FROM clock)) / 1000, 'unixepoch') + 0 AS hour FROM h
  ),
  by_bait AS (
    SELECT bait, sum(max(0, min(out.to_ms, baits.to_ms) - max(out.from_ms, baits.from_ms))) AS ms FROM out JOIN baits USING (line)
    GROUP BY bait
  ),
  by_phase AS (
    SELECT phase, sum(max(0, min(out.to_ms, phases.to_ms) - max(out.from_ms, phases.from_ms))) AS ms FROM out, phases GROUP BY phase
  ),
  by_hour AS (
    SELECT hour, sum(max(0, min(out.to_ms, start_ms + 3600000) - max(out.from_ms, start_ms))) AS ms FROM out, hours GROUP BY hour
  ),
  by_place AS (SELECT name, sum(to_ms - from_ms) AS ms FROM out GROUP BY name),
  raises AS (
    SELECT raised.at_ms, coalesce((SELECT min(e.at_ms) FROM live AS e WHERE e.kind = 'raise_ended'
      AND json_extract(e.body, '$.episode') = raised.id), 9e18) AS to_ms FROM live AS raised WHERE raised.kind = 'raised'
  )

SELECT
  (SELECT sum(to_ms - from_ms) FROM out) AS line_ms,
  (SELECT json_group_object(name, ms) FROM by_place) AS place,
  (SELECT json_group_object(bait, ms) FROM by_bait WHERE ms > 0) AS bait,
  (SELECT json_group_object(phase, ms) FROM by_phase WHERE ms > 0) AS phase,
  (SELECT json_group_object(CAST(hour AS TEXT), ms) FROM by_hour WHERE ms > 0) AS hour,
  (SELECT count(*) FROM raises) AS raises,
  (SELECT count(*) FROM strikes) AS bites,
  (SELECT count(*) FROM strikes WHERE NOT EXISTS (SELECT 1 FROM raises WHERE raises.at_ms <= strikes.at_ms AND strikes.at_ms < to_ms)) AS bites_blind,
  (SELECT count(*) FROM ends WHERE how = 'on') AS hooked,
  (SELECT count(*) FROM ends WHERE how = 'knockdown') AS knockdowns,
  (SELECT count(*) FROM ends WHERE how = 'gone') AS gone,
  (SELECT count(*) FROM fights WHERE how = 'boated') AS boated,
  (SELECT count(*) FROM fights WHERE how = 'released') AS released,
  (SELECT count(*) FROM fights WHERE how = 'pulled') AS pulled;
