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
INSERT INTO "balance" VALUES('t','b',90,70,120,1772352000000000,1772352000000000,1772352000000000,1798272001000000,'01marnt8z8z7z6krw0d0k1wyx5');
INSERT INTO "balance" VALUES('s','b',1,1,1,1772438400000000,1772438400000000,1773734400000000,1798272021000000,'01marntwg8f31tnjykpwvj0j85');
INSERT INTO "balance" VALUES('s','a',16,16,16,1772352000000000,1772352000000000,1774771200000000,1798272036000000,'01marnvb50n8rks7nn0p0s4hpz');
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
INSERT INTO "event" VALUES('',1772352000000000,'01marnt8z83v2f9rzb8t4g1hv3',1,'line_opened',1798272001000000,'','l1','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{"name": "l1", "species": "invented"}','3324d1b50bd83de359e87134ce5b396a5e5999d7560916837aa5dc3397e909cd','l1');
INSERT INTO "event" VALUES('',1772352000000000,'01marnt8z8k4d8ym9xkpk7598q',4,'stock_opened',1798272001000000,'s','l1','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{"label": "s", "kind": "group"}','b270753205cc53d6a9f07f99b3db60e3f5fa09c56d1965df3fcec9d51246bdb9','s');
INSERT INTO "event" VALUES('',1772352000000000,'01marnt8z8m83jaqdvx0nt1xdx',5,'stock_opened',1798272001000000,'t','','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{"label": "t", "kind": "group"}','5d2a964944cb7b87dd5b41643d048d5cd7ac1f2794f22444bb971ec38562fd59','t');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt8z89xmzq447xjeg4spb',2,'place_opened',1798272001000000,'','','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{"label": "a", "kind": "tank"}','dfcff167d58419eb604c4f0c1e3bd2e1de50f83b9515dbe51588c9ff8a9c2ce1','a');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt8z8vma319ck7tzy28s2',6,'arrived',1798272001000000,'s','','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{}','6d0da38f3bffc372da0f73bcdb5b4e16fc6344948bddce595d727fba67479425','');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt9ygct5x7mjmeraqfjwg',8,'task_set',1798272002000000,'','','Ada','phone',NULL,'01marnt9yg65c5116jyqftdw2w',0,NULL,'','','','{"task": "k", "label": "rinse the sponge", "every_days": 7}','80b2ae7e00403b58ea729499a45b1291b2173e982f7817b11ff65fa3ce401b0f','k');
INSERT INTO "event" VALUES('a',1772352000000000,'01marnt9ygzwnzj9bae83cj7yq',9,'set_made',1798272002000000,'','','Ada','phone',NULL,'01marnt9yg65c5116jyqftdw2w',0,NULL,'','','','{"set": "p", "label": "pair", "members": [{"stock": "s", "count": 1, "sex": "male"}, {"stock": "s", "count": 1, "sex": "female"}]}','338fc1c879efe374cf49ad3febdeefc7b213a29a3e888313a21847943c99b9da','p');
INSERT INTO "event" VALUES('a',1772438400000000,'01marntbx0rbwfsd2qqm561xef',12,'moved',1798272004000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "b"}','8eeefd35b2217216d3e090a9522b16711d0aa81cb60ef2384e0c7f2e2ef96ecf','');
INSERT INTO "event" VALUES('a',1772524800000000,'01marntcw8kynvkwd47mgyqwzt',13,'tested',1798272005000000,'','','Ada','phone',NULL,'01marntcw8da9b25aqmcf9egnd',0,NULL,'','','','{}','9d96d4dcb654001c0d852674608989d799c41f5f6c3b9dae262397bf55adbd52','');
INSERT INTO "event" VALUES('a',1772611200000000,'01marntaxr67axtb3hccewswhq',10,'task_done',1798272003000000,'','','Ada','phone',NULL,'01marntaxrwtydhqhf6wa45gf8',0,NULL,'','','','{"task": "k"}','8867f52c981a03d8c5ca7e901e0ca250869aa4d327953d0635496417b3f67ac2','k');
INSERT INTO "event" VALUES('a',1772611200000000,'01marntaxrvj4nvjt0jxfnqweg',11,'noted',1798272003000000,'','','Ada','phone',NULL,'01marntaxrwtydhqhf6wa45gf8',0,NULL,'größe ☃ ''quoted''','','','{}','a8e879f06e60181216b4206c8dd7c010c61c659b5a4b494c4ebff17413e000b8','');
INSERT INTO "event" VALUES('a',1772611200000000,'01marntdvgdpxbtaynzbshvz65',15,'tested',1798272006000000,'','','Ada','phone',NULL,'01marntdvgpay8bfa475nnv604',0,NULL,'','','','{}','9e144629344dc58ff808ca18e7fd7db788583dc42d965a98732fcb799998ab21','');
INSERT INTO "event" VALUES('a',1772697600000000,'01marntetrnravz0g2p2f9xjaw',17,'moved',1798272007000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "b"}','8b3576d0fa93a703379814a5d0843308bd399a3dba4ce3b6948a0ee8ef03bbc2','');
INSERT INTO "event" VALUES('a',1772784000000000,'01marntft00cg6w56sg5c92dy5',18,'tested',1798272008000000,'','','Ada','phone',NULL,'01marntft02625ngw6f5dr1rwr',0,NULL,'','','','{}','c43f1da034a9789b1bbfbd330fdf37db4243ef693a2408cce9ff2d0ffd117a8a','');
INSERT INTO "event" VALUES('a',1772870400000000,'01marntgs8savr82w7za9p18q8',20,'died',1798272009000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','1c61a6d83d370de32371e106c641fd2bc790572b2fa779e1ee21916c152cfde8','');
INSERT INTO "event" VALUES('a',1772956800000000,'01marnthrg978j21zxwv6fpehf',21,'tested',1798272010000000,'','','Ada','phone',NULL,'01marnthrgx375dw3wzphgztrv',0,NULL,'','','','{}','161d1795e66efdb0d0fe4809df1d5aed1b0921358ae4b11ca4bf053cc5e1d216','');
INSERT INTO "event" VALUES('a',1773043200000000,'01marntjqrzh00kss4j5hpkffq',23,'moved',1798272011000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "b"}','a503b6de2e2ec72bf863e9ecfc890ac945f495623d09877fdad1f0ac93229ba9','');
INSERT INTO "event" VALUES('a',1773129600000000,'01marntkq0tdfxy228sb8pww83',24,'died',1798272012000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','0c503d57bc48dd53d97760e4b88d5c75a16d675e41c91e659403dfadfdfd9eeb','');
INSERT INTO "event" VALUES('a',1773216000000000,'01marntmp86pd62jze5rrhkg87',25,'died',1798272013000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','0d9d9ae8313c657603ed741ca8468a82430f5bfe08fd45fd36ca7c3479c41854','');
INSERT INTO "event" VALUES('a',1773388800000000,'01marntqm0p5qbara6veqyjbg4',27,'died',1798272016000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','8a135f2bbb099901bf05fe9de8602a05f0447894127b3547e462d2cfb8b0893a','');
INSERT INTO "event" VALUES('a',1773475200000000,'01marntrk82zqzrn0f2h3f05v2',28,'tested',1798272017000000,'','','Ada','phone',NULL,'01marntrk89bykm4d3ebt7j1pn',0,NULL,'','','','{}','65dc2cd03826e1fedd6f8b4b0c20f121fb8160f18be0f1ca7d7a3bc2e7ce05b1','');
INSERT INTO "event" VALUES('a',1773561600000000,'01marntsjg7tp1sm09gdtre5cr',30,'tested',1798272018000000,'','','Ada','phone',NULL,'01marntsjgq91xg04j4vdb3jcc',0,NULL,'','','','{}','5e5f001cdf790c1d7b5c6fda1efcf250540fb4517a47408a77bc5c898fbb76f5','');
INSERT INTO "event" VALUES('a',1773820800000000,'01marntxfgtc8n3wt4j02kpgg4',34,'counted',1798272022000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','5f297aed1e85cd74a79020255015cf07034bd6da19880b58903938415e0ad84b','');
INSERT INTO "event" VALUES('a',1773993600000000,'01marntze0jhp83rsdy36jzmg9',36,'tested',1798272024000000,'','','Ada','phone',NULL,'01marntze0d45pf6bmnhf1d0ew',0,NULL,'','','','{}','c111dc92a8a52354cd7ba3d099397a26aef526b7edec14de9278cbd9fe808c13','');
INSERT INTO "event" VALUES('a',1774166400000000,'01marnv2brjd4zesf6wmhhx9bj',39,'died',1798272027000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','962d49bcfe8623bbfd0507200cb1dd6cde1f0ebc98bb3de27260aea1dc404891','');
INSERT INTO "event" VALUES('a',1774425600000000,'01marnv68r6gcbx69zgma83xw7',41,'tested',1798272031000000,'','','Ada','phone',NULL,'01marnv68rxh7agyxhx9mv1bzw',0,NULL,'','','','{}','823b7accd3c17c078d156597600f586b2d7c9fe41408c7185d52b2b8115f3f5d','');
INSERT INTO "event" VALUES('a',1774684800000000,'01marnva5r7j5f1jneevkmczvb',44,'tested',1798272035000000,'','','Ada','phone',NULL,'01marnva5rs89wahxhvfmf99nk',0,NULL,'','','','{}','e2f4f0575ea6cab2f5b18c23400dcb1adcd44f25970492da31b8731763ff4604','');
INSERT INTO "event" VALUES('a',1774771200000000,'01marnvb50n8rks7nn0p0s4hpz',46,'died',1798272036000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{}','cedd157c3be4ad8acf3612d4b2158fac62aa97dcfa670233ee82415396457804','');
INSERT INTO "event" VALUES('a',1774857600000000,'01marnvc48rah3p1161anrrq47',47,'tested',1798272037000000,'','','Ada','phone',NULL,'01marnvc48ncqrftjy1mmnm5eg',0,NULL,'','','','{}','c88f0cbef845bb412bd70845b50e59092c83f1128312e590db89ed8652fb14f5','');
INSERT INTO "event" VALUES('a',1774944000000000,'01marnvd3gawf1dsw2zmh8a3qs',49,'tested',1798272038000000,'','','Ada','phone',NULL,'01marnvd3gn9yb637hm6w6fwep',0,NULL,'','','','{}','1b8fa8edec36c6947fa5789b201c93024bb6a1ae518869499db9b7bde0673b24','');
INSERT INTO "event" VALUES('a',1798272014000000,'01marntpmra7kcj7bv7sdasb5p',26,'voided',1798272015000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntmp86pd62jze5rrhkg87','{}','4bb063ac1dac9f54c70cfc01cc05afef0622f5658801fc37d8254bffab748642','');
INSERT INTO "event" VALUES('a',1798272019000000,'01marntvh0qhkhkawg4pxp98b0',32,'voided',1798272020000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntqm0p5qbara6veqyjbg4','{}','852dd522b543a0fd0d84893d1cec1b65f88fc015e35cbc7b034d6052fa814a85','');
INSERT INTO "event" VALUES('a',1798272029000000,'01marnv59g0rjkz6nqgnyab9kv',40,'voided',1798272030000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marnv2brjd4zesf6wmhhx9bj','{}','14a6f3fdb92fe39de80a260ad0b0a1c25cef184b61de5bb46b350815f586fca1','');
INSERT INTO "event" VALUES('a',1798272033000000,'01marnv96gx21a0z1hp5sek26q',43,'voided',1798272034000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntxfgtc8n3wt4j02kpgg4','{}','2dec25496719e48dc084fd7084350da69bcbd4108059311db3eb62e443691fac','');
INSERT INTO "event" VALUES('b',1772352000000000,'01marnt8z8fagbbnj1d65sq51d',3,'place_opened',1798272001000000,'','','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{"label": "b", "kind": "tank"}','b02cd5600b55c8d6621406062cb0445e8baaaf862eddf1ae43c54be630166748','b');
INSERT INTO "event" VALUES('b',1772352000000000,'01marnt8z8z7z6krw0d0k1wyx5',7,'born',1798272001000000,'t','','Ada','phone',NULL,'01marnt8z8zm45zfns165e63t1',0,NULL,'','','','{}','925a5e0cec7d84c0b929fc86a7f04885bd6b3bdee25b8b229e7b612f1c4cdd6e','');
INSERT INTO "event" VALUES('b',1772524800000000,'01marntcw8xfd8dq1zp84qbp8w',14,'tested',1798272005000000,'','','Ada','phone',NULL,'01marntcw8da9b25aqmcf9egnd',0,NULL,'','','','{}','88fe1e2b093e3a5385936f4e7f1af64b1205244a0a924544cb4bef6975c43fdb','');
INSERT INTO "event" VALUES('b',1772611200000000,'01marntdvgrfz9p666zy55rvdm',16,'tested',1798272006000000,'','','Ada','phone',NULL,'01marntdvgpay8bfa475nnv604',0,NULL,'','','','{}','f6c65141d8b10337146f7b83214a6a87cabf045d16f0245e8a509ea12346afc7','');
INSERT INTO "event" VALUES('b',1772784000000000,'01marntft0gzsavfh2adsj7whv',19,'tested',1798272008000000,'','','Ada','phone',NULL,'01marntft02625ngw6f5dr1rwr',0,NULL,'','','','{}','2ded4ca2a61b81dba633fa6fb72004bc76dcec49019c3155c52928fbb78d553f','');
INSERT INTO "event" VALUES('b',1772956800000000,'01marnthrgjnh5wfqf4tdyw3ac',22,'tested',1798272010000000,'','','Ada','phone',NULL,'01marnthrgx375dw3wzphgztrv',0,NULL,'','','','{}','7386c2a5eb93873aeff620054b67cfc0ba258a200d500ec1aa3a7a5c6a66aec7','');
INSERT INTO "event" VALUES('b',1773475200000000,'01marntrk8n37bftshcqzmqejy',29,'tested',1798272017000000,'','','Ada','phone',NULL,'01marntrk89bykm4d3ebt7j1pn',0,NULL,'','','','{}','c1d1e6b525147ed913aed9b9a69efb7e7c7f6b0313a4f833ef7238e08caec7a1','');
INSERT INTO "event" VALUES('b',1773561600000000,'01marntsjgbjh7kgnkag46yvac',31,'tested',1798272018000000,'','','Ada','phone',NULL,'01marntsjgq91xg04j4vdb3jcc',0,NULL,'','','','{}','777677e00dc8ef69778fb25bb5ba3d642e7785f22e5befa0dac532ae67761275','');
INSERT INTO "event" VALUES('b',1773734400000000,'01marntwg8f31tnjykpwvj0j85',33,'moved',1798272021000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "a"}','63b38ccfb5a9f585d2f69be4a0daf4418a2226fd53127781c03af0db8223f2bb','');
INSERT INTO "event" VALUES('b',1773907200000000,'01marntyer46naxqt5z680j5zs',35,'moved',1798272023000000,'s','','Ada','phone',NULL,'',0,NULL,'','','','{"to": "a"}','669e5cf88ef9abc16654f3949e8b21c7ffb02ef08e795409dd093d1567b47329','');
INSERT INTO "event" VALUES('b',1773993600000000,'01marntze0rr6437qjsazcgjnr',37,'tested',1798272024000000,'','','Ada','phone',NULL,'01marntze0d45pf6bmnhf1d0ew',0,NULL,'','','','{}','0dafad2abff2e2dbbfe84b91c363739393c287c9b2614f4bd6cc85eb0ed9d64c','');
INSERT INTO "event" VALUES('b',1774425600000000,'01marnv68rhed6z4e2ykycedf2',42,'tested',1798272031000000,'','','Ada','phone',NULL,'01marnv68rxh7agyxhx9mv1bzw',0,NULL,'','','','{}','9781b89aa22cdbdc798fe2cd6b937678504393c337db46d87ae5ded77ef68e62','');
INSERT INTO "event" VALUES('b',1774684800000000,'01marnva5rmg342krxq86bbwk5',45,'tested',1798272035000000,'','','Ada','phone',NULL,'01marnva5rs89wahxhvfmf99nk',0,NULL,'','','','{}','e47434a60836deb8a76ec103d281f15cb761a973344344e22c6f6fc606ba6a0f','');
INSERT INTO "event" VALUES('b',1774857600000000,'01marnvc48snhg7rat0r7fceec',48,'tested',1798272037000000,'','','Ada','phone',NULL,'01marnvc48ncqrftjy1mmnm5eg',0,NULL,'','','','{}','f22b0058d966e37708ed9d91c52a3bffd51cd5ad53079c1b123e00688aea6104','');
INSERT INTO "event" VALUES('b',1774944000000000,'01marnvd3gayd4dk6gn3v45gw8',50,'tested',1798272038000000,'','','Ada','phone',NULL,'01marnvd3gn9yb637hm6w6fwep',0,NULL,'','','','{}','7310799257830abc867971224556bf9c11908492b8a186215ec83498a1909e88','');
INSERT INTO "event" VALUES('b',1798272025000000,'01marnv1cgeh54zd6g3z098jm6',38,'voided',1798272026000000,'s','','Ada','phone',NULL,'',0,NULL,'','a slip','01marntyer46naxqt5z680j5zs','{}','cd3ff9d814dc34b310843cc59df4dc52587d0f536c2f1871937258ba0685fce6','');
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
INSERT INTO "flow" VALUES('01marnt8z8vma319ck7tzy28s2',0,'s','a','held',20,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marnt8z8vma319ck7tzy28s2',1,'s','','arrived',-20,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marnt8z8z7z6krw0d0k1wyx5',0,'t','b','held',90,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marnt8z8z7z6krw0d0k1wyx5',1,'t','','born',-90,1772352000000000,1798272001000000);
INSERT INTO "flow" VALUES('01marntbx0rbwfsd2qqm561xef',0,'s','a','held',-1,1772438400000000,1798272004000000);
INSERT INTO "flow" VALUES('01marntbx0rbwfsd2qqm561xef',1,'s','b','held',1,1772438400000000,1798272004000000);
INSERT INTO "flow" VALUES('01marntetrnravz0g2p2f9xjaw',0,'s','a','held',-1,1772697600000000,1798272007000000);
INSERT INTO "flow" VALUES('01marntetrnravz0g2p2f9xjaw',1,'s','b','held',1,1772697600000000,1798272007000000);
INSERT INTO "flow" VALUES('01marntgs8savr82w7za9p18q8',0,'s','a','held',-1,1772870400000000,1798272009000000);
INSERT INTO "flow" VALUES('01marntgs8savr82w7za9p18q8',1,'s','','dead',1,1772870400000000,1798272009000000);
INSERT INTO "flow" VALUES('01marntjqrzh00kss4j5hpkffq',0,'s','a','held',-1,1773043200000000,1798272011000000);
INSERT INTO "flow" VALUES('01marntjqrzh00kss4j5hpkffq',1,'s','b','held',1,1773043200000000,1798272011000000);
INSERT INTO "flow" VALUES('01marntkq0tdfxy228sb8pww83',0,'s','a','held',-1,1773129600000000,1798272012000000);
INSERT INTO "flow" VALUES('01marntkq0tdfxy228sb8pww83',1,'s','','dead',1,1773129600000000,1798272012000000);
INSERT INTO "flow" VALUES('01marntmp86pd62jze5rrhkg87',0,'s','a','held',-1,1773216000000000,1798272013000000);
INSERT INTO "flow" VALUES('01marntmp86pd62jze5rrhkg87',1,'s','','dead',1,1773216000000000,1798272013000000);
INSERT INTO "flow" VALUES('01marntqm0p5qbara6veqyjbg4',0,'s','a','held',-1,1773388800000000,1798272016000000);
INSERT INTO "flow" VALUES('01marntqm0p5qbara6veqyjbg4',1,'s','','dead',1,1773388800000000,1798272016000000);
INSERT INTO "flow" VALUES('01marntwg8f31tnjykpwvj0j85',0,'s','b','held',-2,1773734400000000,1798272021000000);
INSERT INTO "flow" VALUES('01marntwg8f31tnjykpwvj0j85',1,'s','a','held',2,1773734400000000,1798272021000000);
INSERT INTO "flow" VALUES('01marntyer46naxqt5z680j5zs',0,'s','b','held',-1,1773907200000000,1798272023000000);
INSERT INTO "flow" VALUES('01marntyer46naxqt5z680j5zs',1,'s','a','held',1,1773907200000000,1798272023000000);
INSERT INTO "flow" VALUES('01marnv2brjd4zesf6wmhhx9bj',0,'s','a','held',-1,1774166400000000,1798272027000000);
INSERT INTO "flow" VALUES('01marnv2brjd4zesf6wmhhx9bj',1,'s','','dead',1,1774166400000000,1798272027000000);
INSERT INTO "flow" VALUES('01marnvb50n8rks7nn0p0s4hpz',0,'s','a','held',-1,1774771200000000,1798272036000000);
INSERT INTO "flow" VALUES('01marnvb50n8rks7nn0p0s4hpz',1,'s','','dead',1,1774771200000000,1798272036000000);
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
INSERT INTO "held" VALUES('s','a',1772352000000000,1798272001000000,'01marnt8z8vma319ck7tzy28s2',0,'flow',20,NULL,NULL,20,20,20,1772352000000000);
INSERT INTO "held" VALUES('s','a',1772438400000000,1798272004000000,'01marntbx0rbwfsd2qqm561xef',0,'flow',-1,NULL,NULL,19,19,19,1772352000000000);
INSERT INTO "held" VALUES('s','a',1772697600000000,1798272007000000,'01marntetrnravz0g2p2f9xjaw',0,'flow',-1,NULL,NULL,18,18,18,1772352000000000);
INSERT INTO "held" VALUES('s','a',1772870400000000,1798272009000000,'01marntgs8savr82w7za9p18q8',0,'flow',-1,NULL,NULL,17,17,17,1772352000000000);
INSERT INTO "held" VALUES('s','a',1773043200000000,1798272011000000,'01marntjqrzh00kss4j5hpkffq',0,'flow',-1,NULL,NULL,16,16,16,1772352000000000);
INSERT INTO "held" VALUES('s','a',1773129600000000,1798272012000000,'01marntkq0tdfxy228sb8pww83',0,'flow',-1,NULL,NULL,15,15,15,1772352000000000);
INSERT INTO "held" VALUES('s','a',1773734400000000,1798272021000000,'01marntwg8f31tnjykpwvj0j85',0,'flow',2,NULL,NULL,17,17,17,1772352000000000);
INSERT INTO "held" VALUES('s','a',1774771200000000,1798272036000000,'01marnvb50n8rks7nn0p0s4hpz',0,'flow',-1,NULL,NULL,16,16,16,1772352000000000);
INSERT INTO "held" VALUES('s','b',1772438400000000,1798272004000000,'01marntbx0rbwfsd2qqm561xef',0,'flow',1,NULL,NULL,1,1,1,1772438400000000);
INSERT INTO "held" VALUES('s','b',1772697600000000,1798272007000000,'01marntetrnravz0g2p2f9xjaw',0,'flow',1,NULL,NULL,2,2,2,1772438400000000);
INSERT INTO "held" VALUES('s','b',1773043200000000,1798272011000000,'01marntjqrzh00kss4j5hpkffq',0,'flow',1,NULL,NULL,3,3,3,1772438400000000);
INSERT INTO "held" VALUES('s','b',1773734400000000,1798272021000000,'01marntwg8f31tnjykpwvj0j85',0,'flow',-2,NULL,NULL,1,1,1,1772438400000000);
INSERT INTO "held" VALUES('t','b',1772352000000000,1798272001000000,'01marnt8z8z7z6krw0d0k1wyx5',0,'flow',90,70,120,90,70,120,1772352000000000);
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
INSERT INTO "observed" VALUES('01marnt8z8vma319ck7tzy28s2',0,'a','s','count',1772352000000000,20.0,NULL,NULL,'','');
INSERT INTO "observed" VALUES('01marnt8z8z7z6krw0d0k1wyx5',0,'b','t','count',1772352000000000,90.0,70.0,120.0,'','');
INSERT INTO "observed" VALUES('01marntcw8kynvkwd47mgyqwzt',0,'a','','ph',1772524800000000,7.52192488982515072848e+00,7.42192488982515108375e+00,7.62192488982515,'','');
INSERT INTO "observed" VALUES('01marntcw8xfd8dq1zp84qbp8w',0,'b','','ph',1772524800000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntdvgdpxbtaynzbshvz65',0,'a','','ph',1772611200000000,7.3031859454455254621e+00,7.20318594544552581737e+00,7.40318594544552510683e+00,'','');
INSERT INTO "observed" VALUES('01marntdvgrfz9p666zy55rvdm',0,'b','','ph',1772611200000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntft00cg6w56sg5c92dy5',0,'a','','ph',1772784000000000,6.86553413581010651967e+00,6.76553413581010687494e+00,6.96553413581010616439e+00,'','');
INSERT INTO "observed" VALUES('01marntft0gzsavfh2adsj7whv',0,'b','','ph',1772784000000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnthrg978j21zxwv6fpehf',0,'a','','ph',1772956800000000,6.53266112091451933707e+00,6.43266112091452,6.6326611209145189818e+00,'','');
INSERT INTO "observed" VALUES('01marnthrgjnh5wfqf4tdyw3ac',0,'b','','ph',1772956800000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntrk82zqzrn0f2h3f05v2',0,'a','','ph',1773475200000000,7.37296770835816,7.27296770835816,7.47296770835815937772e+00,'','');
INSERT INTO "observed" VALUES('01marntrk8n37bftshcqzmqejy',0,'b','','ph',1773475200000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntsjg7tp1sm09gdtre5cr',0,'a','','ph',1773561600000000,7.45170520289303084382e+00,7.35170520289303119909e+00,7.55170520289303048855e+00,'','');
INSERT INTO "observed" VALUES('01marntsjgbjh7kgnkag46yvac',0,'b','','ph',1773561600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marntxfgtc8n3wt4j02kpgg4',0,'a','s','count',1773820800000000,17.0,NULL,NULL,'','');
INSERT INTO "observed" VALUES('01marntze0jhp83rsdy36jzmg9',0,'a','','ph',1773993600000000,7.67515595132514594212e+00,7.57515595132514629739e+00,7.77515595132514558684e+00,'','');
INSERT INTO "observed" VALUES('01marntze0rr6437qjsazcgjnr',0,'b','','ph',1773993600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnv68r6gcbx69zgma83xw7',0,'a','','ph',1774425600000000,7.01543450102263221879e+00,6.91543450102263257406e+00,7.11543450102263186352e+00,'','');
INSERT INTO "observed" VALUES('01marnv68rhed6z4e2ykycedf2',0,'b','','ph',1774425600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnva5r7j5f1jneevkmczvb',0,'a','','ph',1774684800000000,7.17800451596510313834e+00,7.07800451596510349361e+00,7.27800451596510278307e+00,'','');
INSERT INTO "observed" VALUES('01marnva5rmg342krxq86bbwk5',0,'b','','ph',1774684800000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnvc48rah3p1161anrrq47',0,'a','','ph',1774857600000000,6.4854799470861355104e+00,6.38547994708613586567e+00,6.58547994708613515513e+00,'','');
INSERT INTO "observed" VALUES('01marnvc48snhg7rat0r7fceec',0,'b','','ph',1774857600000000,7.0,6.9,7.1,'','');
INSERT INTO "observed" VALUES('01marnvd3gawf1dsw2zmh8a3qs',0,'a','','ph',1774944000000000,6.82862799860154900954e+00,6.72862799860154936482e+00,6.92862799860154865427e+00,'','');
INSERT INTO "observed" VALUES('01marnvd3gayd4dk6gn3v45gw8',0,'b','','ph',1774944000000000,7.0,6.9,7.1,'','');
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
INSERT INTO "voided" VALUES('01marntmp86pd62jze5rrhkg87','01marntpmra7kcj7bv7sdasb5p');
INSERT INTO "voided" VALUES('01marntqm0p5qbara6veqyjbg4','01marntvh0qhkhkawg4pxp98b0');
INSERT INTO "voided" VALUES('01marntyer46naxqt5z680j5zs','01marnv1cgeh54zd6g3z098jm6');
INSERT INTO "voided" VALUES('01marnv2brjd4zesf6wmhhx9bj','01marnv59g0rjkz6nqgnyab9kv');
INSERT INTO "voided" VALUES('01marntxfgtc8n3wt4j02kpgg4','01marnv96gx21a0z1hp5sek26q');
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
CREATE INDEX event_batch ON event (batch) WHERE batch != '';
CREATE INDEX thing_id ON thing (id);
CREATE INDEX derived_stock ON derived (stock, place);
CREATE INDEX derived_account ON derived (account, happened);
CREATE INDEX balance_place ON balance (place);
COMMIT;
