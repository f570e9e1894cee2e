module compteur60 (
  input horloge, input raz, input valider,
  output reg [3:0] unites, output reg [3:0] dizaines
);
  always @(posedge horloge)
    if (raz) begin unites <= 0; dizaines <= 0; end
    else if (valider) begin
      if (unites == 9) begin
        unites <= 0;
        if (dizaines == 5) dizaines <= 0; else dizaines <= dizaines + 1;
      end else unites <= unites + 1;
    end
endmodule
