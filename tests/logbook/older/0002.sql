-- A small book of version 0002, all of it invented; never changed again.
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
CREATE TABLE balance (
	stock TEXT NOT NULL, 
	place TEXT NOT NULL, 
	held BIGINT NOT NULL, 
	low BIGINT NOT NULL, 
	high BIGINT NOT NULL, 
	since BIGINT, 
	first BIGINT NOT NULL, 
	last BIGINT NOT NULL, 
	last_recorded BIGINT NOT NULL, 
	last_event TEXT NOT NULL, 
	PRIMARY KEY (stock, place)
);
INSERT INTO "balance" VALUES('t','b',90,70,120,1772352000000000,1772352000000000,1772352000000000,1798272001000000,'01marnt8z8z4xjwkw5a03q3ed8');
INSERT INTO "balance" VALUES('s','b',1,1,1,1772438400000000,1772438400000000,1773734400000000,1798272021000000,'01marntwg8cd7jg5ejqbkhjwx3');
INSERT INTO "balance" VALUES('s','a',16,16,16,1772352000000000,1772352000000000,1774771200000000,1798272036000000,'01marnvb50vmhnehsb89kzetjm');
CREATE TABLE "conflict" (
	stock TEXT NOT NULL, 
	place TEXT NOT NULL, 
	since BIGINT NOT NULL, 
	until BIGINT, 
	least BIGINT NOT NULL, 
	event TEXT NOT NULL, 
	PRIMARY KEY (stock, place, since)
);
CREATE TABLE derived (
	event TEXT NOT NULL, 
	account TEXT NOT NULL, 
	stock TEXT NOT NULL, 
	place TEXT NOT NULL, 
	quantity BIGINT NOT NULL, 
	happened BIGINT NOT NULL, 
	PRIMARY KEY (event, account, stock, place)
);
CREATE TABLE due (
	task TEXT NOT NULL, 
	due BIGINT NOT NULL, 
	last BIGINT, 
	PRIMARY KEY (task)
);
INSERT INTO "due" VALUES('k',1773216000000000,1772611200000000);
CREATE TABLE event (
	place TEXT NOT NULL, 
	happened BIGINT NOT NULL, 
	id TEXT NOT NULL, 
	serial BIGINT NOT NULL, 
	kind TEXT NOT NULL, 
	recorded BIGINT NOT NULL, 
	stock TEXT NOT NULL, 
	line TEXT NOT NULL, 
	who TEXT NOT NULL, 
	device TEXT NOT NULL, 
	"key" TEXT, 
	batch TEXT NOT NULL, 
	clock_offset INTEGER NOT NULL, 
	plan_revision INTEGER, 
	note TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	voids TEXT NOT NULL, 
	details JSON NOT NULL, 
	hash TEXT NOT NULL, thing TEXT DEFAULT '' NOT NULL, 
	PRIMARY KEY (place, happened, id), 
	UNIQUE (serial), 
	UNIQUE ("key")
)
 WITHOUT ROWID

;
INSERT INTO "event" VALUES('',1772352000000000,'01marnt8z892cah06g78dcvajm',1,'line_opened',1798272001000000,'','l1','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{"name": "l1", "species": "invented"}','0d31db376aa1c928c8a9ad4a7e5f97f5e19506338cd2dfab807772d47ee71a60','l1');
INSERT INTO "event" VALUES('',1772352000000000,'01marnt8z8qbxqnms5v41wjbw1',4,'stock_opened',1798272001000000,'s','l1','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{"label": "s", "kind": "group"}','3518e052a13130a338e3fb58be507e593a14cde678568eeee488ea89104dbc02','s');
INSERT INTO "event" VALUES('',1772352000000000,'01marnt8z8t9cmx6jsam3fc8d9',5,'stock_opened',1798272001000000,'t','','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{"label": "t", "kind": "group"}','721072c35cb8b0f5191b77bfac564eb8e3f793a1be2ea0b3e568bc4a3b9b9feb','t');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt8z8c5x0bwpb5q8tzgtd',2,'place_opened',1798272001000000,'','','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{"label": "a", "kind": "tank"}','d3496febdcf838c68726f0d9f22b5f2cb35a8630d1f1de0f326481a4ab90f2ad','a');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt8z8v3darra591hswfqg',6,'arrived',1798272001000000,'s','','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{}','9eac664d276174ec9c3de974765a8e21872b728d1f6e4d0e7e45e52b337dbc2d','');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt9yg5d09xpwc8kgn2vrs',8,'task_set',1798272002000000,'','','Ada','phone',NULL,'01marnt9ygzjkg76wx0nemjzhn',0,NULL,'','','','{"task": "k", "label": "rinse the sponge", "every_days": 7}','9d3a2205f6c94d210d89669fa41220f8019da2abe98fc4fc1177d0ac6016600a','k');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt9ygt3d2w46k2js8nnn4',9,'set_made',1798272002000000,'','','Ada','phone',NULL,'01marnt9ygzjkg76wx0nemjzhn',0,NULL,'','','','{"set": "p", "label": "pair", "members": [{"stock": "s", "count": 1, "sex": "male"}, {"stock": "s", "count": 1, "sex": "female"}]}','f8f02d6dad159eb2dbf53be20af87e033e732df01fb4545b903ea55c422d820a','p');
INSERT INTO "event" VALUES('a',1772438400000000,'01marntbx0paa032v71qk00hea',12,'moved',1798272004000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "b"}','344991e9e048dddc04ba1e2f621393f5065970007c43f45cdf758f472a34c9ef','');
INSERT INTO "event" VALUES('a',1772524800000000,'01marntcw8c8syk21ch3myk4xk',13,'tested',1798272005000000,'','','Ada','phone',NULL,'01marntcw8p1fxsnpmsbtjgv0h',0,NULL,'','','','{}','647fb2a47759e2d925442334e697d25862651e561b31693dde9fc5dad8b78803','');
INSERT INTO "event" VALUES('a',1772611200000000,'01marntaxr1ns9n3wxpaa66rt4',10,'task_done',1798272003000000,'','','Ada','phone',NULL,'01marntaxrnegp479wsbdssymb',0,NULL,'','','','{"task": "k"}','2e1a9ef2c32539809322669442a85c8df0578ee82f0f002f3caffeb3ef88878b','k');
INSERT INTO "event" VALUES('a',1772611200000000,'01marntaxryfr8fggnja08v7hy',11,'noted',1798272003000000,'','','Ada','phone',NULL,'01marntaxrnegp479wsbdssymb',0,NULL,'größe ☃ ''quoted''','','','{}','e871f3e4d5627f4860d826c186f2b34830be56db0859c6065f83437455ea97fe','');
INSERT INTO "event" VALUES('a',1772611200000000,'01marntdvg4xxssc5hmerft0v0',15,'tested',1798272006000000,'','','Ada','phone',NULL,'01marntdvggzsyhjpevv44n8w7',0,NULL,'','','','{}','1d9209e9fbea05def6d31c6b4c2620ce69fcd5233b0f027948ba815c6b59ae6a','');
INSERT INTO "event" VALUES('a',1772697600000000,'01marntetr4nn3tg8q8hx7xfev',17,'moved',1798272007000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "b"}','e25ecbfdd09d60b91148761b817f736210653db394f8ab840d30942404ea3af4','');
INSERT INTO "event" VALUES('a',1772784000000000,'01marntft0qy6dv5h0newnryve',18,'tested',1798272008000000,'','','Ada','phone',NULL,'01marntft0kag298r6yr5ytt08',0,NULL,'','','','{}','60d71480570c087da5eac19c5dd705fbba09fc4b8481d6228ce7f8d981ce14fa','');
INSERT INTO "event" VALUES('a',1772870400000000,'01marntgs8p360rnp79yccfjgn',20,'died',1798272009000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','084e160e30eace88b173cad1895b6f5dd4c5f9c5b73630e3062918594e722671','');
INSERT INTO "event" VALUES('a',1772956800000000,'01marnthrgm1aqfzh751zwd1mr',21,'tested',1798272010000000,'','','Ada','phone',NULL,'01marnthrgm33rxj0y022hdsdk',0,NULL,'','','','{}','4f73903b22ea6f7247fda2543f2b762815b9130157205737ec19768b007dbb2e','');
INSERT INTO "event" VALUES('a',1773043200000000,'01marntjqrybjazzv5mcn2jqzb',23,'moved',1798272011000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "b"}','69b6e2da24cd707564b2dd426e621e9addac1f55d31e9cc52a363efb9e0bba42','');
INSERT INTO "event" VALUES('a',1773129600000000,'01marntkq0725qmt15qq8mq02z',24,'died',1798272012000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','d9543a495889f62cd62f0bbb0027b8a34bc73f2b5ae05db6cac4d0ab0d7f8569','');
INSERT INTO "event" VALUES('a',1773216000000000,'01marntmp8y50fgh4awxfk6jk2',25,'died',1798272013000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','fac857742c4dc8da16107a23f6cb6b6f9e4a7a291ac333277ff965116a21ad60','');
INSERT INTO "event" VALUES('a',1773388800000000,'01marntqm0xt23q8n9pz97vqcb',27,'died',1798272016000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','f6012ebff9c5ff1f639885e7a9fb89eb50f8fbe8662822b51789a0973fa2f17b','');
INSERT INTO "event" VALUES('a',1773475200000000,'01marntrk840w7ekf3ehfzt9vg',28,'tested',1798272017000000,'','','Ada','phone',NULL,'01marntrk84j9a04c9jnh5xqt6',0,NULL,'','','','{}','c568b62bf58a34b4f85b4fa3c0cb48c50aab709c7780292cf15cf19eec0a422e','');
INSERT INTO "event" VALUES('a',1773561600000000,'01marntsjgjpxaxaadf211rvfh',30,'tested',1798272018000000,'','','Ada','phone',NULL,'01marntsjg34vbv4wp0d1c9kzg',0,NULL,'','','','{}','bfc672828faa20716921f1a8bce73aae3d4456d5ec2dd0a33f3d605986730beb','');
INSERT INTO "event" VALUES('a',1773820800000000,'01marntxfg8vn19grw51qx3kmv',34,'counted',1798272022000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','6f16bde67ac6a0c433aaf5ad0944ba4c224a423f13ed60e128afd717d6b66fc5','');
INSERT INTO "event" VALUES('a',1773993600000000,'01marntze0768a9ehagdd4f8pn',36,'tested',1798272024000000,'','','Ada','phone',NULL,'01marntze0cn4stmf19h29ecpg',0,NULL,'','','','{}','bb5b9b3738df432380c66427dedd301eb7a4e56446431eab641419f14897aefb','');
INSERT INTO "event" VALUES('a',1774166400000000,'01marnv2brj9pg3wrhagrs3cxb',39,'died',1798272027000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','cad562da4b39887bf3d887997b1a22f263605093f0c9c52912abd112c8c3ecbb','');
INSERT INTO "event" VALUES('a',1774425600000000,'01marnv68ragnvrqs0qk7kcq0k',41,'tested',1798272031000000,'','','Ada','phone',NULL,'01marnv68rwkv82p4r04wr9txn',0,NULL,'','','','{}','3b3200dfa44702d1f5307bfca83af364a38712ad2293e2b45b0696e783cb2c25','');
INSERT INTO "event" VALUES('a',1774684800000000,'01marnva5r1w9d008624fwz512',44,'tested',1798272035000000,'','','Ada','phone',NULL,'01marnva5rqz8nm2ae09pft70t',0,NULL,'','','','{}','ab442841704c7bed287ff855d89462cefc1d62e5c29ab921bbff50151d683a50','');
INSERT INTO "event" VALUES('a',1774771200000000,'01marnvb50vmhnehsb89kzetjm',46,'died',1798272036000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','331a33c7dc1cc0643883de73fde6edb2601dee69e9db2f1109154f68a9a003d6','');
INSERT INTO "event" VALUES('a',1774857600000000,'01marnvc48623epbcth8eqg15r',47,'tested',1798272037000000,'','','Ada','phone',NULL,'01marnvc48j27vk4t7349mnkgj',0,NULL,'','','','{}','39eae872ace76dba8eadda1eda495f5ba5cacf3baa7b5a61aa8b3e18f432174d','');
INSERT INTO "event" VALUES('a',1774944000000000,'01marnvd3g3b92qrmz85vfw5ph',49,'tested',1798272038000000,'','','Ada','phone',NULL,'01marnvd3gq3acq6j7ra4y1d9a',0,NULL,'','','','{}','f520311f425949242663dcdd71a97999e7799f331f76e7e74c204241f8033dc6','');
INSERT INTO "event" VALUES('a',1798272014000000,'01marntpmrax10671qzvpemrbv',26,'voided',1798272015000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntmp8y50fgh4awxfk6jk2','{}','49d9ff64c9c023328844ac97fb9b3cf91305eab1ea1146bc4ee3ef46ddf8c4d4','');
INSERT INTO "event" VALUES('a',1798272019000000,'01marntvh0mjgy6ss02nqgeqdv',32,'voided',1798272020000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntqm0xt23q8n9pz97vqcb','{}','c7e622801aaab3d2043b22293f021fe8e9ec5ce90c03f626c129eb29a17e5fa1','');
INSERT INTO "event" VALUES('a',1798272029000000,'01marnv59gk6ngnm0eazve2y7w',40,'voided',1798272030000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marnv2brj9pg3wrhagrs3cxb','{}','b1b134e3bbab39887003d95421ac90de37838d87f74f29d76ae59552cb8fe305','');
INSERT INTO "event" VALUES('a',1798272033000000,'01marnv96gvcr2x42kzrd0bab4',43,'voided',1798272034000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntxfg8vn19grw51qx3kmv','{}','02bfa4ece5b48828a8e144f149a3d93dcb7283ef3d0cb7d487c56b8fd0698b97','');
INSERT INTO "event" VALUES('b',1772352000000000,'01marnt8z8nfe600kgyay43pdv',3,'place_opened',1798272001000000,'','','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{"label": "b", "kind": "tank"}','fed4504903f5409869134081bfc04bc3cf6d26e1f2aa6ce718d88aa455b45ebe','b');
INSERT INTO "event" VALUES('b',1772352000000000,'01marnt8z8z4xjwkw5a03q3ed8',7,'born',1798272001000000,'t','','Ada','phone',NULL,'01marnt8z88zdfpk28mb7zh94e',0,NULL,'','','','{}','8f9406dd0cf58034f1ec968c8f8ed75821bf185ae8d34446bc9f67d39bec06d1','');
INSERT INTO "event" VALUES('b',1772524800000000,'01marntcw8vwtte37t13h3dw71',14,'tested',1798272005000000,'','','Ada','phone',NULL,'01marntcw8p1fxsnpmsbtjgv0h',0,NULL,'','','','{}','d5b2453e6dc46294bc09cbfb9567a47db892824a64f931ee0bfbf72c19267d25','');
INSERT INTO "event" VALUES('b',1772611200000000,'01marntdvge3hg66p22jn605wv',16,'tested',1798272006000000,'','','Ada','phone',NULL,'01marntdvggzsyhjpevv44n8w7',0,NULL,'','','','{}','86597be9a31eaa76a149553212998bbe4efb0fa4a25fd71e6c14a430eaa52b99','');
INSERT INTO "event" VALUES('b',1772784000000000,'01marntft0z77zdf9qjhzs4b7p',19,'tested',1798272008000000,'','','Ada','phone',NULL,'01marntft0kag298r6yr5ytt08',0,NULL,'','','','{}','5a7a12a494687600885ccb7235e600da2126acdf91fb5b75a8fcda0e5a016460','');
INSERT INTO "event" VALUES('b',1772956800000000,'01marnthrgxvbx00hrhvn5cwwc',22,'tested',1798272010000000,'','','Ada','phone',NULL,'01marnthrgm33rxj0y022hdsdk',0,NULL,'','','','{}','d8dd99f42b4261a752522b0a40218510927ca8ec2b8adb36bde14a15090024d8','');
INSERT INTO "event" VALUES('b',1773475200000000,'01marntrk8fb8ant0zyq064kpy',29,'tested',1798272017000000,'','','Ada','phone',NULL,'01marntrk84j9a04c9jnh5xqt6',0,NULL,'','','','{}','848c8f0634164fca1fcc918b8e0aba63bfe8e7c932c68868495ee88c6ed98e27','');
INSERT INTO "event" VALUES('b',1773561600000000,'01marntsjgyq2c2zjm8yz3j8sq',31,'tested',1798272018000000,'','','Ada','phone',NULL,'01marntsjg34vbv4wp0d1c9kzg',0,NULL,'','','','{}','74d481b88dc1562d5a5487d3cc741555386d74492324e39c6db0cc4a9528f2dc','');
INSERT INTO "event" VALUES('b',1773734400000000,'01marntwg8cd7jg5ejqbkhjwx3',33,'moved',1798272021000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "a"}','eabb29c327f5ca1b69366e9e92d963c8639e6fd2a55d808405bd1b78245abffa','');
INSERT INTO "event" VALUES('b',1773907200000000,'01marntyerwjrdzks3ehaz8dej',35,'moved',1798272023000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "a"}','9ae696965fa7181dbca043a0ac44995ee8198ec094fb61052e3118d77d22fffa','');
INSERT INTO "event" VALUES('b',1773993600000000,'01marntze0sr0xk42rbtxdtbn9',37,'tested',1798272024000000,'','','Ada','phone',NULL,'01marntze0cn4stmf19h29ecpg',0,NULL,'','','','{}','825d0fadb59e1864aaba834fef0d4b01ed4cf461f44f417b74cb98d128341385','');
INSERT INTO "event" VALUES('b',1774425600000000,'01marnv68rqpaw6nj3b2481r1p',42,'tested',1798272031000000,'','','Ada','phone',NULL,'01marnv68rwkv82p4r04wr9txn',0,NULL,'','','','{}','32ee22debce434b4a2c401ae15f5064ca008537eebcc571dca94f8c361a380be','');
INSERT INTO "event" VALUES('b',1774684800000000,'01marnva5r97t2ht4zcgn0bwh0',45,'tested',1798272035000000,'','','Ada','phone',NULL,'01marnva5rqz8nm2ae09pft70t',0,NULL,'','','','{}','d9f77763a2cdcf4eab0a0739f25236caac0d5f6a3acd037ad9dc089139cbeea6','');
INSERT INTO "event" VALUES('b',1774857600000000,'01marnvc48gckt7envg6dk6sk7',48,'tested',1798272037000000,'','','Ada','phone',NULL,'01marnvc48j27vk4t7349mnkgj',0,NULL,'','','','{}','7b9fbd9b9b45eba3d94acc35e224eabcc9b2c37f04b389049843cfc4260358f8','');
INSERT INTO "event" VALUES('b',1774944000000000,'01marnvd3g988t9wafqy1cx0d4',50,'tested',1798272038000000,'','','Ada','phone',NULL,'01marnvd3gq3acq6j7ra4y1d9a',0,NULL,'','','','{}','9f8d5cb994a752fd67ad820053cea8a3afec32f933e6cd04b46fa6840b49710f','');
INSERT INTO "event" VALUES('b',1798272025000000,'01marnv1cghy2qrp6f4p65r4gb',38,'voided',1798272026000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntyerwjrdzks3ehaz8dej','{}','1ac3da57736646d71246ade674d2158b4a1450770906a2e38614fada027d3fe4','');
CREATE TABLE flow (
	event TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	stock TEXT NOT NULL, 
	place TEXT NOT NULL, 
	account TEXT NOT NULL, 
	quantity BIGINT NOT NULL, 
	happened BIGINT NOT NULL, recorded BIGINT DEFAULT '0' NOT NULL, 
	PRIMARY KEY (event, number)
)
 WITHOUT ROWID

;
INSERT INTO "flow" VALUES('01marnt8z8v3darra591hswfqg',0,'s','a','held',20,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marnt8z8v3darra591hswfqg',1,'s','','arrived',-20,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marnt8z8z4xjwkw5a03q3ed8',0,'t','b','held',90,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marnt8z8z4xjwkw5a03q3ed8',1,'t','','born',-90,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marntbx0paa032v71qk00hea',0,'s','a','held',-1,1772438400000000,1798272004000000);
INSERT INTO "flow" VALUES('01marntbx0paa032v71qk00hea',1,'s','b','held',1,1772438400000000,1798272004000000);
INSERT INTO "flow" VALUES('01marntetr4nn3tg8q8hx7xfev',0,'s','a','held',-1,1772697600000000,1798272007000000);
INSERT INTO "flow" VALUES('01marntetr4nn3tg8q8hx7xfev',1,'s','b','held',1,1772697600000000,1798272007000000);
INSERT INTO "flow" VALUES('01marntgs8p360rnp79yccfjgn',0,'s','a','held',-1,1772870400000000,1798272009000000);
INSERT INTO "flow" VALUES('01marntgs8p360rnp79yccfjgn',1,'s','','dead',1,1772870400000000,1798272009000000);
INSERT INTO "flow" VALUES('01marntjqrybjazzv5mcn2jqzb',0,'s','a','held',-1,1773043200000000,1798272011000000);
INSERT INTO "flow" VALUES('01marntjqrybjazzv5mcn2jqzb',1,'s','b','held',1,1773043200000000,1798272011000000);
INSERT INTO "flow" VALUES('01marntkq0725qmt15qq8mq02z',0,'s','a','held',-1,1773129600000000,1798272012000000);
INSERT INTO "flow" VALUES('01marntkq0725qmt15qq8mq02z',1,'s','','dead',1,1773129600000000,1798272012000000);
INSERT INTO "flow" VALUES('01marntmp8y50fgh4awxfk6jk2',0,'s','a','held',-1,1773216000000000,1798272013000000);
INSERT INTO "flow" VALUES('01marntmp8y50fgh4awxfk6jk2',1,'s','','dead',1,1773216000000000,1798272013000000);
INSERT INTO "flow" VALUES('01marntqm0xt23q8n9pz97vqcb',0,'s','a','held',-1,1773388800000000,1798272016000000);
INSERT INTO "flow" VALUES('01marntqm0xt23q8n9pz97vqcb',1,'s','','dead',1,1773388800000000,1798272016000000);
INSERT INTO "flow" VALUES('01marntwg8cd7jg5ejqbkhjwx3',0,'s','b','held',-2,1773734400000000,1798272021000000);
INSERT INTO "flow" VALUES('01marntwg8cd7jg5ejqbkhjwx3',1,'s','a','held',2,1773734400000000,1798272021000000);
INSERT INTO "flow" VALUES('01marntyerwjrdzks3ehaz8dej',0,'s','b','held',-1,1773907200000000,1798272023000000);
INSERT INTO "flow" VALUES('01marntyerwjrdzks3ehaz8dej',1,'s','a','held',1,1773907200000000,1798272023000000);
INSERT INTO "flow" VALUES('01marnv2brj9pg3wrhagrs3cxb',0,'s','a','held',-1,1774166400000000,1798272027000000);
INSERT INTO "flow" VALUES('01marnv2brj9pg3wrhagrs3cxb',1,'s','','dead',1,1774166400000000,1798272027000000);
INSERT INTO "flow" VALUES('01marnvb50vmhnehsb89kzetjm',0,'s','a','held',-1,1774771200000000,1798272036000000);
INSERT INTO "flow" VALUES('01marnvb50vmhnehsb89kzetjm',1,'s','','dead',1,1774771200000000,1798272036000000);
CREATE TABLE held (
	stock TEXT NOT NULL, 
	place TEXT NOT NULL, 
	happened BIGINT NOT NULL, 
	recorded BIGINT NOT NULL, 
	event TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	sort TEXT NOT NULL, 
	quantity BIGINT NOT NULL, 
	low BIGINT, 
	high BIGINT, 
	held BIGINT NOT NULL, 
	held_low BIGINT NOT NULL, 
	held_high BIGINT NOT NULL, 
	since BIGINT, 
	PRIMARY KEY (stock, place, happened, recorded, event, number)
)
 WITHOUT ROWID

;
INSERT INTO "held" VALUES('s','a',1772352000000000,1798272001000000,'01marnt8z8v3darra591hswfqg',0,'flow',20,NULL,NULL,20,20,20,1772352000000000);
INSERT INTO "held" VALUES('s','a',1772438400000000,1798272004000000,'01marntbx0paa032v71qk00hea',0,'flow',-1,NULL,NULL,19,19,19,1772352000000000);
INSERT INTO "held" VALUES('s','a',1772697600000000,1798272007000000,'01marntetr4nn3tg8q8hx7xfev',0,'flow',-1,NULL,NULL,18,18,18,1772352000000000);
INSERT INTO "held" VALUES('s','a',1772870400000000,1798272009000000,'01marntgs8p360rnp79yccfjgn',0,'flow',-1,NULL,NULL,17,17,17,1772352000000000);
INSERT INTO "held" VALUES('s','a',1773043200000000,1798272011000000,'01marntjqrybjazzv5mcn2jqzb',0,'flow',-1,NULL,NULL,16,16,16,1772352000000000);
INSERT INTO "held" VALUES('s','a',1773129600000000,1798272012000000,'01marntkq0725qmt15qq8mq02z',0,'flow',-1,NULL,NULL,15,15,15,1772352000000000);
INSERT INTO "held" VALUES('s','a',1773734400000000,1798272021000000,'01marntwg8cd7jg5ejqbkhjwx3',0,'flow',2,NULL,NULL,17,17,17,1772352000000000);
INSERT INTO "held" VALUES('s','a',1774771200000000,1798272036000000,'01marnvb50vmhnehsb89kzetjm',0,'flow',-1,NULL,NULL,16,16,16,1772352000000000);
INSERT INTO "held" VALUES('s','b',1772438400000000,1798272004000000,'01marntbx0paa032v71qk00hea',0,'flow',1,NULL,NULL,1,1,1,1772438400000000);
INSERT INTO "held" VALUES('s','b',1772697600000000,1798272007000000,'01marntetr4nn3tg8q8hx7xfev',0,'flow',1,NULL,NULL,2,2,2,1772438400000000);
INSERT INTO "held" VALUES('s','b',1773043200000000,1798272011000000,'01marntjqrybjazzv5mcn2jqzb',0,'flow',1,NULL,NULL,3,3,3,1772438400000000);
INSERT INTO "held" VALUES('s','b',1773734400000000,1798272021000000,'01marntwg8cd7jg5ejqbkhjwx3',0,'flow',-2,NULL,NULL,1,1,1,1772438400000000);
INSERT INTO "held" VALUES('t','b',1772352000000000,1798272001000000,'01marnt8z8z4xjwkw5a03q3ed8',0,'flow',90,70,120,90,70,120,1772352000000000);
CREATE TABLE observed (
	event TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	place TEXT NOT NULL, 
	stock TEXT NOT NULL, 
	quantity TEXT NOT NULL, 
	happened BIGINT NOT NULL, 
	value FLOAT, 
	low FLOAT, 
	high FLOAT, 
	unit TEXT NOT NULL, 
	method TEXT NOT NULL, 
	PRIMARY KEY (event, number)
)
 WITHOUT ROWID

;
INSERT INTO "observed" VALUES('01marnt8z8v3darra591hswfqg',0,'a','s','count',1772352000000000,20.0,NULL,NULL,'','');
INSERT INTO "observed" VALUES('01marnt8z8z4xjwkw5a03q3ed8',0,'b','t','count',1772352000000000,90.0,70.0,120.0,'','');
INSERT INTO "observed" VALUES('01marntcw8c8syk21ch3myk4xk',0,'a','','ph',1772524800000000,7.52192488982515072848e+00,7.42192488982515108375e+00,7.62192488982515,'','');
INSERT INTO "observed" VALUES('01marntcw8vwtte37t13h3dw71',0,'b','','ph',1772524800000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntdvg4xxssc5hmerft0v0',0,'a','','ph',1772611200000000,7.3031859454455254621e+00,7.20318594544552581737e+00,7.40318594544552510683e+00,'','');
INSERT INTO "observed" VALUES('01marntdvge3hg66p22jn605wv',0,'b','','ph',1772611200000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntft0qy6dv5h0newnryve',0,'a','','ph',1772784000000000,6.86553413581010651967e+00,6.76553413581010687494e+00,6.96553413581010616439e+00,'','');
INSERT INTO "observed" VALUES('01marntft0z77zdf9qjhzs4b7p',0,'b','','ph',1772784000000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnthrgm1aqfzh751zwd1mr',0,'a','','ph',1772956800000000,6.53266112091451933707e+00,6.43266112091452,6.6326611209145189818e+00,'','');
INSERT INTO "observed" VALUES('01marnthrgxvbx00hrhvn5cwwc',0,'b','','ph',1772956800000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntrk840w7ekf3ehfzt9vg',0,'a','','ph',1773475200000000,7.37296770835816,7.27296770835816,7.47296770835815937772e+00,'','');
INSERT INTO "observed" VALUES('01marntrk8fb8ant0zyq064kpy',0,'b','','ph',1773475200000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntsjgjpxaxaadf211rvfh',0,'a','','ph',1773561600000000,7.45170520289303084382e+00,7.35170520289303119909e+00,7.55170520289303048855e+00,'','');
INSERT INTO "observed" VALUES('01marntsjgyq2c2zjm8yz3j8sq',0,'b','','ph',1773561600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntxfg8vn19grw51qx3kmv',0,'a','s','count',1773820800000000,17.0,NULL,NULL,'','');
INSERT INTO "observed" VALUES('01marntze0768a9ehagdd4f8pn',0,'a','','ph',1773993600000000,7.67515595132514594212e+00,7.57515595132514629739e+00,7.77515595132514558684e+00,'','');
INSERT INTO "observed" VALUES('01marntze0sr0xk42rbtxdtbn9',0,'b','','ph',1773993600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnv68ragnvrqs0qk7kcq0k',0,'a','','ph',1774425600000000,7.01543450102263221879e+00,6.91543450102263257406e+00,7.11543450102263186352e+00,'','');
INSERT INTO "observed" VALUES('01marnv68rqpaw6nj3b2481r1p',0,'b','','ph',1774425600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnva5r1w9d008624fwz512',0,'a','','ph',1774684800000000,7.17800451596510313834e+00,7.07800451596510349361e+00,7.27800451596510278307e+00,'','');
INSERT INTO "observed" VALUES('01marnva5r97t2ht4zcgn0bwh0',0,'b','','ph',1774684800000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnvc48623epbcth8eqg15r',0,'a','','ph',1774857600000000,6.4854799470861355104e+00,6.38547994708613586567e+00,6.58547994708613515513e+00,'','');
INSERT INTO "observed" VALUES('01marnvc48gckt7envg6dk6sk7',0,'b','','ph',1774857600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnvd3g3b92qrmz85vfw5ph',0,'a','','ph',1774944000000000,6.82862799860154900954e+00,6.72862799860154936482e+00,6.92862799860154865427e+00,'','');
INSERT INTO "observed" VALUES('01marnvd3g988t9wafqy1cx0d4',0,'b','','ph',1774944000000000,7.0,6.9,7.1,'','');
CREATE TABLE thing (
	sort TEXT NOT NULL, 
	id TEXT NOT NULL, 
	label TEXT NOT NULL, 
	"of" TEXT NOT NULL, 
	closed BOOLEAN NOT NULL, 
	data JSON NOT NULL, 
	PRIMARY KEY (sort, id)
);
INSERT INTO "thing" VALUES('line','l1','l1','',0,'{"id": "l1", "name": "l1", "species": "invented", "opened": "2026-03-01T08:00:00Z", "source": "", "locality": "", "protocol": "", "least_breeders": null, "most_inbreeding": null, "regenerate_days": null, "may_mix": []}');
INSERT INTO "thing" VALUES('place','a','a','',0,'{"id": "a", "label": "a", "kind": "tank", "opened": "2026-03-01T08:00:00Z", "closed": null, "rack": "", "shelf": null, "zone": "", "litres": null, "order": 0}');
INSERT INTO "thing" VALUES('place','b','b','',0,'{"id": "b", "label": "b", "kind": "tank", "opened": "2026-03-01T08:00:00Z", "closed": null, "rack": "", "shelf": null, "zone": "", "litres": null, "order": 0}');
INSERT INTO "thing" VALUES('stock','s','s','l1',0,'{"id": "s", "label": "s", "kind": "group", "opened": "2026-03-01T08:00:00Z", "line": "l1", "closed": null, "sex": "", "born": null, "origin": [], "kinship": null, "came_from": ""}');
INSERT INTO "thing" VALUES('stock','t','t','',0,'{"id": "t", "label": "t", "kind": "group", "opened": "2026-03-01T08:00:00Z", "line": "", "closed": null, "sex": "", "born": null, "origin": [], "kinship": null, "came_from": ""}');
INSERT INTO "thing" VALUES('set','p','pair','',0,'{"id": "p", "members": [{"stock": "s", "count": 1, "sex": "male", "share_low": null, "share_high": null, "same_as": ""}, {"stock": "s", "count": 1, "sex": "female", "share_low": null, "share_high": null, "same_as": ""}], "opened": "2026-03-01T08:00:00Z", "ended": null, "label": "pair"}');
INSERT INTO "thing" VALUES('task','k','rinse the sponge','a',0,'{"id": "k", "label": "rinse the sponge", "place": "a", "every_days": 7.0, "window_days": 0.0, "quantity": "", "unit": "", "low": null, "high": null, "kind": "", "weekdays": [], "by": "", "rotation": "", "rest_days": 0.0, "litres": null, "feed": "", "opened": "2026-03-01T08:00:00Z", "stopped": null}');
CREATE TABLE voided (
	event TEXT NOT NULL, 
	"by" TEXT NOT NULL, 
	PRIMARY KEY (event)
);
INSERT INTO "voided" VALUES('01marntmp8y50fgh4awxfk6jk2','01marntpmrax10671qzvpemrbv');
INSERT INTO "voided" VALUES('01marntqm0xt23q8n9pz97vqcb','01marntvh0mjgy6ss02nqgeqdv');
INSERT INTO "voided" VALUES('01marntyerwjrdzks3ehaz8dej','01marnv1cghy2qrp6f4p65r4gb');
INSERT INTO "voided" VALUES('01marnv2brj9pg3wrhagrs3cxb','01marnv59gk6ngnm0eazve2y7w');
INSERT INTO "voided" VALUES('01marntxfg8vn19grw51qx3kmv','01marnv96gvcr2x42kzrd0bab4');
CREATE UNIQUE INDEX event_id ON event (id);
CREATE INDEX event_stock ON event (stock, happened);
CREATE INDEX event_kind ON event (kind, happened);
CREATE INDEX event_happened ON event (happened);
CREATE INDEX flow_stock ON flow (stock, place, happened);
CREATE INDEX flow_account ON flow (account, happened);
CREATE INDEX observed_place ON observed (place, quantity, happened);
CREATE INDEX observed_stock ON observed (stock, quantity, happened);
CREATE INDEX thing_label ON thing (sort, label);
CREATE INDEX thing_of ON thing (sort, "of");
CREATE INDEX due_at ON due (due);
CREATE INDEX event_thing ON event (thing, happened) WHERE thing != '';
CREATE INDEX flow_place ON flow (place, happened) WHERE place != '';
CREATE INDEX derived_stock ON derived (stock, place);
CREATE INDEX derived_account ON derived (account, happened);
CREATE INDEX balance_place ON balance (place);
COMMIT;
