-- Ends a session of this account by its number.
DELETE FROM session WHERE rowid = ?2 AND member_id IN (SELECT id FROM member WHERE account_id = ?1)
