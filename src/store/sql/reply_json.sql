-- What was answered to this message?
SELECT json FROM reply WHERE message_position = ?1
