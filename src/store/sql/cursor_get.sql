-- How far has the news of this messenger been taken?
SELECT value FROM cursor WHERE channel = ?1
