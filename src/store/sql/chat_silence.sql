-- Notes that a chat wants no more answers, or wants them again.
UPDATE chat SET silenced_at = ?2 WHERE id = ?1
