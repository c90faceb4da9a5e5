-- What has happened in this account after a given event?
SELECT sequence, kind, version, recorded_at, cause, member_id, payload
FROM event WHERE account_id = ?1 AND sequence > ?2 ORDER BY sequence
