"""What the synthesiser says: sentences invented for this corpus, rich in sibilants, and in what is easily taken for
them: f, th and h, bright vowels, bursts of t; with nasals and liquids between.
"""

ENGLISH_KITCHEN = (
    "Jessie washes six dishes in the kitchen sink. She sees the cheese is finished, so she fetches fresh fish and "
    "three juicy peaches. He feels the heat of the oven and thinks of the feast. Is this seat free? Please eat these "
    "beans with us, then leave the rest for Susan. Both brothers laugh: half the fudge has vanished. The usual "
    "decision is to share a measure of orange jam on toast."
)
ENGLISH_SONG = (
    "Oh, sing me a sunrise, a season of ease, a whisper of summer in shivering trees. I reach for the beaches, I "
    "chase every breeze, three thousand bright echoes are crossing the seas. Hold me, my only, the evening is near, "
    "the hush of the harbour is all that I hear. Faith is a feather that floats on the foam, just turn off the "
    "engine and let me ride home."
)
ENGLISH_STATION = (
    "The last express leaves Chester station at six fifteen. Passengers with heavy suitcases should use the far "
    "stairs. George missed his bus, so Sheila just gave him a lift. Fifty thieves hid in the theatre; nothing was "
    "found. Each teacher teaches history in peace. Lazy bees buzz in the roses, and a mild wind moves my window."
)
GERMAN = (
    "Susanne sucht seit Samstag ihre schwarze Tasche. Zwischen zwölf und zwei schmeckt süßes Essen besonders. Ich "
    "möchte leichte Bücher, auch nachts am Fluss. Der Chef hofft auf frische Luft, viele Tiere liegen hier im Heu. "
    "Jetzt tanzt Fritz zur Musik, und das Publikum klatscht. Nie mehr will ich allein im Regen warten."
)
SPANISH = (
    "Los jueves Cecilia cose vestidos de seda azul. Muchos chicos hacen fotos en la playa del sur. Es fácil decir "
    "que sí, pero difícil hacerlo juntos. Mis vecinos cenan arroz con queso fresco a las diez. Ella y yo llevamos "
    "mil limones al mercado. Gente feliz jamás fija su reloj."
)
FRENCH = (
    "Samuel choisit six chaises chez sa voisine. Les oiseaux jaunes se posent sur la neige sèche. J'ai fini ma "
    "soupe, il fait froid ici. Zoé passe les vacances à Toulouse avec son cousin Serge. Une fille fidèle file vers "
    "la ville. Mon ami aime un long moment de lumière."
)
ITALIAN = (
    "Stasera Cesare scia sulla neve senza sciarpa. Giulia sceglie zucchero, cioccolata e pesce fresco. Sei sicuro "
    "che questa stazione sia chiusa? I figli felici fanno festa vicino al fiume. Nessuno osa svegliare la zia. "
    "Amore mio, la luna non era mai lontana."
)
POLISH = (
    "Wczoraj Kasia zgubiła szary szalik w szkole. Jeszcze dziś zjemy śledzie, czosnek i żurek. Cisza nocą usypia "
    "dzieci. Żaba skacze przez rzekę, a zając śpi. Franek i Hania chwalą chleb. Mama i Ewa mają mało malin."
)
RUSSIAN = (
    "Саша ищет шапку и часы. Женя живёт за синим лесом. Зимой здесь часто скользко. Щенок съел сыр, чеснок и яйцо. "
    "Фёдор хочет хлеба. Цапля стоит у озера. Милая мама мыла малину."
)
PORTUGUESE = (
    "Jussara acha que as chuvas são suaves em setembro. Seis peixes azuis nadam junto à casa. Hoje as crianças "
    "fizeram festa na praça. Chega de pressa, disse o juiz. Fica feliz e fala mais. Minha mãe me mandou limão."
)

# Voices by the names of their files: en is British, since the library does not find it as en-gb. The variants after
# the + change pitch and formants. Those of women were chosen by what the kitchen's text measures: in f1 to f4
# sibilants are 0 to 4 dB brighter than vowels, which no voice is; in those here 6 to 21 dB.
SPOKEN = [
    ("en-us+m1", ENGLISH_KITCHEN),
    ("en-us+steph", ENGLISH_SONG),
    ("en-us+m5", ENGLISH_STATION),
    ("en+m8", ENGLISH_SONG),
    ("en-gb-x-rp+f5", ENGLISH_KITCHEN),
    ("en-gb-scotland+anika", ENGLISH_STATION),
    ("de+m2", GERMAN),
    ("de+steph2", GERMAN),
    ("es+m6", SPANISH),
    ("es-419+f5", SPANISH),
    ("fr+m1", FRENCH),
    ("fr+steph", FRENCH),
    ("it+m3", ITALIAN),
    ("it+anika", ITALIAN),
    ("pl+m7", POLISH),
    ("pl+grandma", POLISH),
    ("ru+m1", RUSSIAN),
    ("pt-br+steph3", PORTUGUESE),
]
