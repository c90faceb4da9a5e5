-- Queues the letters of a chat again that were held back until the person writes.
UPDATE outbox SET state = 'queued', attempts = 0, due_at = ?3, queued_at = ?3, last_failure = NULL
WHERE chat_id = ?1 AND state = 'given up' AND last_failure = ?2
