module cronometro #(parameter FREQ = 2_000_000) (
  input  clk, input azzera, input avvio,
  output [15:0] tempo_bcd, output reg trabocco );
 // tempo_bcd: minuti (due cifre) e secondi (due cifre)
 reg [3:0] su, sd, mu, md; integer pre;
 assign tempo_bcd = {md, mu, sd, su};
 always @(posedge clk) begin
  trabocco <= 0;
  if (azzera) begin pre <= 0; su <= 0; sd <= 0; mu <= 0; md <= 0; end
  else if (avvio) begin
   pre <= pre + 1;
   if (pre == FREQ - 1) begin
    pre <= 0; su <= su + 1;
    if (su == 9) begin su <= 0; sd <= sd + 1; if (sd == 5 && su == 9) begin sd <= 0; mu <= mu + 1;
     if (mu == 8) begin mu <= 0; md <= md + 1; if (md == 5) begin md <= 0; trabocco <= 1; end end end end
   end
  end
 end
endmodule
