-- Ends a session of this account by its number; only one of this member, when one is given.
DELETE FROM session WHERE rowid = ?2
    AND member_id IN (SELECT id FROM member WHERE account_id = ?1 AND (?3 IS NULL OR id = ?3))
