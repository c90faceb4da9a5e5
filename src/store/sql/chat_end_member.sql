-- Puts a member out of every messenger, or of one.
UPDATE chat SET ended_at = ?4
WHERE account_id = ?1 AND member_id = ?2 AND (?3 IS NULL OR channel = ?3) AND ended_at IS NULL
