-- Who belongs to this account?
SELECT id, account_id, name, role FROM member WHERE account_id = ?1 ORDER BY id
