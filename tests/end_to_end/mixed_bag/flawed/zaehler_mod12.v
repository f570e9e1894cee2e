// Modulo-12-Zaehler mit Freigabe
module zaehler_mod12(takt, ruecksetzen, freigabe, stand);
input takt, ruecksetzen, freigabe;
output reg [3:0] stand;
always @(posedge takt)
begin
  if (ruecksetzen) stand <= 0;
  else if (freigabe)
    if (stand >= 12) stand <= 0;
    else stand <= stand + 1;
end
endmodule
