-- Uses up a sign-in link, if it is there, unused and still good.
UPDATE sign_in_link SET used_at = ?2
WHERE token_hash = ?1 AND used_at IS NULL AND expires_at > ?2
RETURNING member_id
