-- Queues letters of this account again that were given up: one, or all.
UPDATE outbox SET state = 'queued', attempts = 0, due_at = ?3, queued_at = ?3, last_failure = NULL
WHERE account_id = ?1 AND state = 'given up' AND (?2 IS NULL OR id = ?2)
