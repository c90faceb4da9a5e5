-- Clears codes that are used up or too old, and those that a member had before.
DELETE FROM connect_code
WHERE used_at IS NOT NULL OR expires_at <= ?1 OR (member_id = ?2 AND COALESCE(channel, '') = COALESCE(?3, ''))
