-- Notes that a letter which a provider took did not arrive in the end.
UPDATE outbox SET state = 'given up', sent_at = NULL, last_failure = ?3
WHERE outside_id = ?2 AND state = 'sent' AND chat_id IN (SELECT id FROM chat WHERE channel = ?1)
RETURNING chat_id
