-- How many answers have waited since before a time, and how many were given up?
SELECT
    (SELECT count(*) FROM outbox WHERE state = 'queued' AND queued_at < ?1),
    (SELECT count(*) FROM outbox WHERE state = 'given up')
