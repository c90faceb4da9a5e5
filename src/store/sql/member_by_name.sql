-- Who in this account goes by this name?
SELECT id, account_id, name, role FROM member WHERE account_id = ?1 AND name = ?2
