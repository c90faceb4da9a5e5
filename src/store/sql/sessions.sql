-- Which sessions of this account are good, newest first, and which one is the asker's own?
SELECT session.rowid, member.name, session.device, session.created_at, session.token_hash = ?3
FROM session JOIN member ON member.id = session.member_id
WHERE member.account_id = ?1 AND session.expires_at > ?2 ORDER BY session.created_at DESC, session.rowid DESC
