// minutnik kuchenny: odlicza w dol, zatrzymuje sie na 00:00
module minutnik #(parameter CZESTOTLIWOSC = 1000000)
(input zegar, input kasuj, input laduj, input praca,
 input [6:0] min_we, input [5:0] sek_we,
 output reg [6:0] minuty, output reg [5:0] sekundy, output koniec);
 reg [19:0] dzielnik;
 assign koniec = (minuty == 0) && (sekundy == 0);
 always @(posedge zegar or posedge kasuj)
  if (kasuj) begin dzielnik <= 0; minuty <= 0; sekundy <= 0; end
  else if (laduj) begin dzielnik <= 0; minuty <= min_we; sekundy <= sek_we; end
  else if (praca && !koniec) begin
    if (dzielnik == CZESTOTLIWOSC - 1) begin
      dzielnik <= 0;
      if (sekundy != 0) sekundy <= sekundy - 1;
      else begin sekundy <= 59; minuty <= minuty - 1; end
    end else dzielnik <= dzielnik + 1;
  end
endmodule
