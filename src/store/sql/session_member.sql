-- Whose session is this, if it is still good?
SELECT member.id, member.account_id, member.name, member.role
FROM session JOIN member ON member.id = session.member_id
WHERE session.token_hash = ?1 AND session.expires_at > ?2
