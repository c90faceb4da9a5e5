-- Notes which message a file that was kept before belongs to.
UPDATE file SET message_position = ?3 WHERE id = ?1 AND account_id = ?2 AND message_position IS NULL;
