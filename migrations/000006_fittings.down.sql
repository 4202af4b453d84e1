DROP TABLE fittings;
