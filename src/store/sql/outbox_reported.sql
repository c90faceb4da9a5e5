-- Notes that a letter which a provider took did not arrive in the end. It is sent from its beginning when it is sent again.
UPDATE outbox SET state = 'given up', sent_at = NULL, pieces_sent = 0, outside_id = NULL, last_failure = ?3
WHERE outside_id = ?2 AND state = 'sent' AND chat_id IN (SELECT id FROM chat WHERE channel = ?1)
RETURNING chat_id
