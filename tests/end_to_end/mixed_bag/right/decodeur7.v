// décodeur 7 segments ; pol = 1 : actif à l'état bas (anode commune)
module decodeur7 (
  input  [3:0] chiffre,
  input        anode_commune,
  output [6:0] segments
);
  reg [6:0] s;
  always @(*)
    case (chiffre)
      0: s = 7'h3f;  1: s = 7'h06;  2: s = 7'h5b;  3: s = 7'h4f;
      4: s = 7'h66;  5: s = 7'h6d;  6: s = 7'h7d;  7: s = 7'h07;
      8: s = 7'h7f;  9: s = 7'h6f;  10: s = 7'h77; 11: s = 7'h7c;
      12: s = 7'h39; 13: s = 7'h5e; 14: s = 7'h79; default: s = 7'h71;
    endcase
  assign segments = anode_commune ? ~s : s;
endmodule
