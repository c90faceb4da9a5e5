-- Ends all sessions of this account but one.
DELETE FROM session WHERE token_hash <> ?2 AND member_id IN (SELECT id FROM member WHERE account_id = ?1)
