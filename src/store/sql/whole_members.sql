-- Who belongs to this account, to be moved?
SELECT id, name, role, created_at FROM member WHERE account_id = ?1 ORDER BY id
