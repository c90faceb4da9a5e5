-- Ends all sessions of this account but one; only those of this member, when one is given.
DELETE FROM session WHERE token_hash <> ?2
    AND member_id IN (SELECT id FROM member WHERE account_id = ?1 AND (?3 IS NULL OR id = ?3))
