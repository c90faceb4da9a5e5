-- Ends a session.
DELETE FROM session WHERE token_hash = ?1
