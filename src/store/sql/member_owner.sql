-- Who owns this account?
SELECT id, account_id, name, role FROM member WHERE account_id = ?1 AND role = 'owner' ORDER BY id LIMIT 1
