module chrono_boutons (input clk, input raz_n, input bp_marche, input bp_arret, output reg [5:0] secondes, output reg [5:0] minutes);
  parameter RATIO = 12;
  reg en_marche;
  reg [7:0] diviseur;
  always @(posedge clk)
    if (!raz_n) begin en_marche <= 0; diviseur <= 0; secondes <= 0; minutes <= 0; end
    else begin
      if (bp_arret) begin en_marche <= 0; diviseur <= 0; end
      else if (bp_marche) en_marche <= 1;
      if (en_marche) begin
        if (diviseur == RATIO - 1) begin
          diviseur <= 0;
          if (secondes == 59) begin secondes <= 0; minutes <= minutes == 59 ? 0 : minutes + 1; end
          else secondes <= secondes + 1;
        end else diviseur <= diviseur + 1;
      end
    end
endmodule
