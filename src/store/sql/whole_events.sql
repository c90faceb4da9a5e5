-- What happened in this account, to be moved?
SELECT sequence, kind, version, recorded_at, cause, member_id, payload
FROM event WHERE account_id = ?1 ORDER BY sequence
