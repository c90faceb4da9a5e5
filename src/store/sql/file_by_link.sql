-- The file that an unguessable link leads to, while the link is good.
SELECT file.id, file.way, file.media_type, file.name, file.sha256, file.bytes, file.at
FROM file_link JOIN file ON file.id = file_link.file_id
WHERE file_link.token_hash = ?1 AND file_link.expires_at > ?2;
