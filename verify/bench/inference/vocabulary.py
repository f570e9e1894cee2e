"""What words in names mean, in the languages that people name signals in."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["MEANINGS", "NUMBER_WORDS"]

_WORDS: Mapping[str, str] = {
    # English; German, French, Spanish, Italian, Portuguese, Polish, Dutch, Swedish, pinyin
    "clock": "clk clock ck mclk sysclk clkin clki osc oscillator cclk hclk pclk gclk takt uhrtakt "
    "horloge hor reloj orologio relogio zegar klok klocka shizhong",
    "reset": "rst reset res rstn resetn nrst nreset arst srst rstb resetb aresetn sreset areset por "
    "ruecksetzen ruecks raz reinit reiniciar reinicio azzera azzeramento zeruj zerowanie "
    "kasuj nollstall mrst mr rsn rest rset fuwei",
    "clear": "clr clear clrn sclr zero wipe zeroize loesche loeschen effacer borrar cancella limpar "
    "wyczysc wis rensa qingling",
    "enable": "en ena enable ce cen cke clken ten cet cep enp ent enb run running go active act count_en "
    "cnten freigabe frei valider autoriser autorise habilita habilitar habilitacion habilitacao hab "
    "abilita abilitazione aktywuj zezwol zezwolenie vrijgave inschakelen aktiv advance inc "
    "incr increment step marcha lauf laeuft marche avvio shineng ativa activar",
    "pause": "pause pausa hold stop halt freeze inhibit inh disable dis paus wstrzymaj stoj pauze "
    "anhalten arret detener parar fermo parada inhibir zanting tingzhi",
    "load": "load ld ldn loadn laden lade charger charge cargar carga carica carregar laduj laadt "
    "ladda preset set pl yuzhi zhishu",
    "value": "data din d val value preset_val init number num wert zahl valeur valor valore wartosc "
    "waarde dane datos dati dados in shuru entrada entree eingang ingresso wejscie",
    "up": "up updown updn ud dir direction auf vor haut richtung sens sentido verso arriba su cima "
    "gora op updownn inc_dec jia",
    "down": "down dn dec ab rueck bas abajo giu baixo dol neer ner",
    "seconds": "sec secs second seconds ss s sek sekunde sekunden seconde secondes segundo segundos seg "
    "secondi secondo sekundy sekund seconden sekunder sn miao",
    "minutes": "min mins minute minutes mm m minuten minuto minutos minuti minuta minuty minut minuter "
    "mn fen",
    "hours": "hr hrs hour hours hh h std stunde stunden heure heures hora horas ora ore godz godzina "
    "godziny uur uren timme timmar shi xiaoshi",
    "hundredths": "hun hund hundertstel hs cs centi centis centisec centiseconds hundredth hundredths csec "
    "hsec centesimi centesimas",
    "tenths": "tenth tenths deci decisec zehntel dixieme dixiemes decimas decimi decimos ds",
    "ones": "one ones unit units unity uni unid unidad unidades unite unites unita unidade jednosci jedn "
    "eenheden einer lo low lsd ent ental ge gewei",
    "tens": "ten tens decade_digit zehner dez dizaine dizaines decena decenas decine dezena dezenas "
    "dziesiatki dzies tientallen tiental hi high msd tiotal deca shi shiwei",
    "hundreds": "hundred hundreds hund hun hundreder hunderter centaine centaines centena centenas "
    "centinaia setki honderdtallen hundratal cent bai baiwei",
    "thousands": "thousand thousands thou thous tausender millier milliers mil miles millar millares "
    "migliaia milhar milhares tysiace duizendtallen tusental th qian qianwei",
    "ten_thousands": "tenthousand tenthousands ten_thousands zehntausender tthou decamil wan wanwei",
    "tick": "tick pulse strobe stb puls impuls impulsion pulso impulso tik tc_tick onehz beat ping "
    "puls1hz maichong mc",
    "square": "clkout outclk clko divclk clkdiv sclk slow slowclk blink blinker led toggle square sq "
    "wave half_clk",
    "segments": "seg segs segment segments sevenseg sseg seven ssd hex sieben segmente siebensegment "
    "sevseg afficheur display disp anzeige leds cathode cathodes cath katode kathode cat ca "
    "segm segmentos segmenti segmenty smg shumaguan duan duanxuan xianshi qiduan",
    "select": "an anode anodes anoda sel select digsel digit_sel dig_sel digen anod anodo anodos pos "
    "stelle position scan column com cs_n wei weixuan pianxuan",
    "digit": "digit dig nibble bcd num char hexdigit ziffer chiffre cifra digito cyfra cijfer siffra "
    "number x din data value in d val code shuzi shuru entrada eingang nib hexin",
    "point": "dp point dot decimal_point punkt punto ponto kropka punt virgule komma xiaoshudian",
    "binary": "bin binary b bi number num value val data in din x dual binaer binaire binario binarny "
    "binair dec erjinzhi shuru entrada eingang",
    "bcd": "bcd decimal dec digits shijinzhi bcdout",
    "start": "start go begin init trigger trig req request load convert conv valid_in strt starten "
    "demarrer iniciar inicio avvia comecar zacznij kaishi qidong",
    "done": "done ready rdy valid finish finished fertig fini listo pronto gotowe klaar end eoc "
    "complete completed valid_out vld drdy ack data_valid dv wancheng",
    "busy": "busy active working running occupied belegt occupe ocupado occupato zajety bezet mang",
    "blank": "blank bi rbi blanking bl off dunkel eteint apagar blk miesheng extinction",
    "lamp_test": "lt lamp lamptest test all_on lampe",
    "carry": "carry co cout rco tc ripple ovf overflow wrap max_tick terminal last cy borrow bo "
    "carryout uebertrag retenue acarreo riporto transporte przeniesienie tcout term ceo "
    "maxtick full roll rollover jinwei vai vaium",
    "count": "q count cnt counter out qout dout value val zaehler zaehlerstand compteur contador "
    "cuenta contatore conta contagem licznik teller raknare state c cval tally jishu jishuqi",
    "divider": "div divider divide divisor prescaler prescale teiler vorteiler diviseur divisore "
    "preescaler dzielnik deler clkgen tickgen baud clockdiv freqdiv fenpin fenpinqi fp",
    "timer": "timer stopwatch stopuhr chrono chronometer chronometre cronometro stoper uhr clock watch "
    "time minuterie temporizador reloj orologio relogio zegar hms miaobiao jishiqi shizhongqi",
}

MEANINGS: Mapping[str, frozenset[str]] = {
    word: frozenset(meaning for meaning, words in _WORDS.items() if word in words.split())
    for words in _WORDS.values()
    for word in words.split()
}
"""Word -> everything that it may mean."""

NUMBER_WORDS: Mapping[str, int] = {
    "decade": 10,
    "dec": 10,
    "decimal": 10,
    "dekade": 10,
    "sixty": 60,
    "sechzig": 60,
    "soixante": 60,
    "sesenta": 60,
    "sessanta": 60,
    "sessenta": 60,
    "twelve": 12,
    "dozen": 12,
    "zwoelf": 12,
    "douze": 12,
    "ten": 10,
    "zehn": 10,
    "dix": 10,
    "diez": 10,
    "dieci": 10,
    "six": 6,
    "sechs": 6,
    "seis": 6,
    "twentyfour": 24,
    "vierundzwanzig": 24,
    "hundred": 100,
    "hundert": 100,
    "cent": 100,
    "five": 5,
    "three": 3,
    "seven": 7,
    "eight": 8,
    "twelfth": 12,
}
"""Words in names of modules that say how many states there are."""
